"""Pictures and sounds as bytes: what they are, how big, how sharp, smaller, and without a place.

Pure functions from bytes to facts or to other bytes. The original is never changed: whoever wants
another form of it is given new bytes. Only this package knows Pillow.
"""
