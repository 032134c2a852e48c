"""Where weather meets rules: when each care may be done, with odds and reasons."""
