"""The Django site and its database store."""
