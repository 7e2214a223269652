"""Write what the phone's scripts know from the program: ``python -m scripts.known_to_phones``.

``static/putback/js/known.js`` has the spellings of units of the fields that are typed as
quantities, and the versions of kinds of entries beyond the first, so that a phone without network
reads what a form says as the server would. `tests/docs/test_known_to_phones.py` compares it with
the program.
"""

import json

from putback.logbook.entries.registry import KINDS
from putback.units.spellings import LENGTH, MASS, TORQUE, VOLUME, Quantity
from putback.web.assets import STATIC

FILE = STATIC / "putback" / "js" / "known.js"
FIELDS: dict[str, tuple[Quantity, str]] = {
    "torque_nm": (TORQUE, ""),
    "misfit_m": (LENGTH, ""),
    "volume_m3": (VOLUME, ""),
    "uncertainty_kg": (MASS, "kg"),
}
"""Fields typed as quantities, with the unit of a bare number; ``minutes`` are read by a rule."""


def text() -> str:
    """Give the file as it must be."""
    quantities = {
        field: {
            "name": quantity.name,
            "example": quantity.example,
            "bare": bare,
            "in_terms": quantity.in_terms,
            "factors": {key: float(factor) for key, factor in quantity.factors.items()},
            "ambiguous": dict(quantity.ambiguous),
        }
        for field, (quantity, bare) in FIELDS.items()
    }
    versions = {kind: body.VERSION for kind, body in KINDS.items() if body.VERSION > 1}
    return (
        "// Written by scripts/known_to_phones.py from the program; change it there.\n\n"
        f"export const QUANTITIES = {_shown(quantities)};\n\n"
        f"export const VERSIONS = {_shown(versions)};\n"
    )


def _shown(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=1)


if __name__ == "__main__":
    FILE.write_text(text())
