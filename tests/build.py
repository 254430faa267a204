"""Rows for tests: plain functions with defaults, so that a test names only what it is about."""
