"""Every table, one module a noun; no relationship attributes, so no hidden query."""
