"""QR labels."""
