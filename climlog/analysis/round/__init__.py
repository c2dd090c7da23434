"""Many places and pieces at once: each place read once, each failure told as such."""
