"""Stores for these tests."""

from tests.stores import kind, opener, phone, store

__all__ = ["kind", "opener", "phone", "store"]
