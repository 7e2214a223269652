"""Putback: log the strip of an old vehicle as you go, and the rebuild is planned for you."""

__version__ = "0.1.0"
