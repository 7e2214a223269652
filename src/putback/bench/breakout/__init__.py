"""Seized fasteners: how long a bar may be before the bolt shears."""
