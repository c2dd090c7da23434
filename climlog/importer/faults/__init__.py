"""Readings that cannot be trusted, and holes between readings."""
