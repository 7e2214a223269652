"""Coats on threads, shafts and bores: what grows, what must be relieved, masked or baked."""
