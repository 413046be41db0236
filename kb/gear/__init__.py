"""Devices, cables and drives: where they are, what they join, what was done to them."""
