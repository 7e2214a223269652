"""Workshop calculators and tables: pure functions on SI floats, with their sources and limits."""
