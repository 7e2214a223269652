"""Ordering: chosen things in a good order, and what it costs."""
