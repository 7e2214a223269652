"""In and out: bundles, merging, backups, verifying, and recorded stories."""
