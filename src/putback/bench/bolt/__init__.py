"""Bolts: what they hold, what may replace them, how deep they must go."""
