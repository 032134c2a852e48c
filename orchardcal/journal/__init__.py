"""What happened: work done, cuts put off, things seen, what was published and mailed."""
