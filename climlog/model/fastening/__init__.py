"""Fastenings: shapes that a movement must stay in, travel as a set, remedies."""
