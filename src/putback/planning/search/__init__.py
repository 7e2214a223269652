"""Searching: which things to do, and how the vehicle stands for them."""
