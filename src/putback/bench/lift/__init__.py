"""Lifting by hand: the revised NIOSH equation, for one person and for a team."""
