"""What is still to do, in which order, on which day; what could not be placed and why."""
