"""What is said of the dust of old linings, beside whatever has somebody open a brake or a clutch.

The figures are those of the rule for workshops of the United States (29 CFR 1910.1001); elsewhere
the law may be stricter.
"""

from putback.bench.tables import data_table


def _rule(start: str) -> str:
    (rule,) = (row["rule"] for row in data_table("asbestos").rows if row["what"].startswith(start))
    return rule


ASBESTOS = (
    f"Old lining dust may hold asbestos: dry brushing it or blowing it off is {_rule('dry brush')}"
    " (29 CFR 1910.1001). Wet it and wipe it up, which the rule allows for"
    f" {_rule('simple wet')}. A household vacuum {_rule('household')}. Exposure stays below"
    f" {_rule('permissible')} over 8 hours, below {_rule('equivalent')} by another method; local"
    " law may be stricter."
)
