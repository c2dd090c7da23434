"""What is said, drawn and written of a `place` run."""
