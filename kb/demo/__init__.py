"""The invented studio."""
