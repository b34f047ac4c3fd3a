"""Rows for tests, a file a room."""
