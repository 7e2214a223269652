"""The use cases that web and command line share, and the ports they need."""
