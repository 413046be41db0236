"""Troubleshooting entries: text in and out, lint, revisions."""
