"""Kitlore: the gear book and the repair memory of a small studio crew."""

__version__ = "0.1.0"
