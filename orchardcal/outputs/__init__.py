"""A plan as text in memory: feeds, tables, JSON, pages; the command layer writes it."""
