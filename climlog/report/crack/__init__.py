"""What is said, drawn and written of a `crack` run."""
