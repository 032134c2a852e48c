"""Numbers in, numbers out: knows neither sites nor species."""
