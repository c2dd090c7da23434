"""One board in that air: cases drawn, moisture and strain simulated, readings weighed."""
