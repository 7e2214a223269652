"""What stands before whoever is at work: the next job, packing up, picking up again."""
