"""Quantities as people type and read them; the only door to pint.

`putback.units.parse` reads ("27 lbf ft" to 36.6 N·m), `putback.units.show` writes; inside Putback
every quantity is a plain float in SI, with its unit in its name.
"""
