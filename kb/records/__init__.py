"""What is kept and how it survives."""
