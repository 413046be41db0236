"""What went wrong, what was tried, what it was."""
