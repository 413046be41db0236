"""Alembic's migrations of the schema."""
