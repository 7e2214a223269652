"""What the parts of a search cost: units of work, each about a microsecond."""

SPELL = 20_000.0
"""About how much work is done between two looks whether to go on."""

PER_ITEM, PER_MOVE, PER_ARC = 2.0, 0.08, 0.002
"""The work of an item looked at in mending, a move of annealing, an arc at a place in bounding."""

PER_LINK, PER_LINK_AND_ITEM = 0.3, 0.01
"""The work of an item looked at in mending where chains are looked for, or of a link of one: so
much, and for each item that there is: blocks are long there, and moving them takes time.
"""

PER_SOFTENED = 0.2
"""The work of a move that may break precedence."""

PER_ROW, PER_WAY_ON = 0.3, 0.04
"""The work of a beginning extended, and of each item that might follow it."""

PER_BRANCHED = 0.0045
"""The work of a number looked at in branching."""
