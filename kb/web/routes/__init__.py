"""Routes: one module a family of pages."""
