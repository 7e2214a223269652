"""Survey: a chassis measured between named points, adjusted, and held against its reference."""
