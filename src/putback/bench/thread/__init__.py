"""Threads found from what was measured: ranked, and told apart."""
