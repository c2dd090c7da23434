"""Columns to sensors: which column is what, in which unit, of which sensor."""
