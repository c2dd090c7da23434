"""Sheets in TOML, and the quick form, to records of the model."""
