"""The page on this machine: drop the log, draw the piece, read the answer."""
