"""The air of a log: hourly equilibrium moisture, days, spells, a projected year."""
