"""Species rules as data: every number with its source; nothing is computed here."""
