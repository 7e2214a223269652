"""Cells: the fold of one subject's entries, each a pure function of them in their order."""
