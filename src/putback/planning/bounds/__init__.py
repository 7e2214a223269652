"""Bounds: what no order goes below."""
