"""Ends of brake and fuel pipes: what mates with what, and what must never be mixed."""
