"""What keeps failing."""
