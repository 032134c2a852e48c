"""orchardcal: the dated season of care for small orchards, with the reason for every date."""

__version__ = "0.1.0"
