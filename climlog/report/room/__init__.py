"""What is said, drawn and written of a `room` run."""
