"""The people who keep the records."""
