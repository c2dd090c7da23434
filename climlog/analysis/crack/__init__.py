"""crack: a top has split; which causes fit its history."""
