"""Axes, ticks and records of drawings that every job shares."""
