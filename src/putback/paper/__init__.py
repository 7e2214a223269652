"""What leaves the printer: each document one call from a record to the bytes of a PDF.

A record says all that stands on the paper; nothing here knows a logbook's state. Whoever gathers
a record is in `putback.workshop.printing`.
"""
