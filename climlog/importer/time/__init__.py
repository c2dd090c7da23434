"""Cells to moments: dates and clocks in any notation."""
