"""Planning again: what changed between two plans, and in what two plans differ."""
