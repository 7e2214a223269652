"""What was done: entries, the fold to a state, hardware accounts, open items, tags, bundles."""
