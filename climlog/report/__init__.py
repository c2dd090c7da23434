"""A record of numbers in, something to read out: terminal text, page, JSON."""
