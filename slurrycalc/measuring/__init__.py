"""What was read, and what it is worth."""
