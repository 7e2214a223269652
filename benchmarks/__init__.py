"""What Putback must be quick at, measured: ``python -m benchmarks [--json] [NAME ...]``."""
