"""Bytes to cells: encoding, dialect, titles and body of a text file."""
