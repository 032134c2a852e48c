"""Pages to look at: the season overview, a page and a printable sheet for each site."""
