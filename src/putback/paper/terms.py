"""British words of the trade, and what an American says for them (common practice, from memory).

A table of whole words, longest first. Names of things people typed are respelled too, as they are
in the trade's words; a part's own American name comes before the table.
"""

import re
from enum import StrEnum


class Terms(StrEnum):
    """Whose words of the trade are printed."""

    BRITISH = "british"
    AMERICAN = "american"


AMERICAN = {
    "wing nut": "wing nut",
    "wing screw": "wing screw",
    "wing mirror": "side mirror",
    "adjustable spanner": "adjustable wrench",
    "ring spanner": "box-end wrench",
    "open-ended spanner": "open-end wrench",
    "spanner": "wrench",
    "bonnet": "hood",
    "boot lid": "trunk lid",
    "boot floor": "trunk floor",
    "wing": "fender",
    "bumper iron": "bumper bracket",
    "windscreen": "windshield",
    "gearbox": "transmission",
    "gear lever": "shifter",
    "propeller shaft": "driveshaft",
    "propshaft": "driveshaft",
    "silencer": "muffler",
    "petrol": "gasoline",
    "paraffin": "kerosene",
    "earth strap": "ground strap",
    "dynamo": "generator",
    "number plate": "license plate",
    "hood frame": "convertible top frame",
    "track rod": "tie rod",
    "drop arm": "pitman arm",
    "damper": "shock absorber",
    "anti-roll bar": "sway bar",
    "jubilee clip": "hose clamp",
    "hose clip": "hose clamp",
    "split pin": "cotter pin",
    "circlip": "snap ring",
    "grub screw": "set screw",
    "facia": "dashboard",
    "tyre": "tire",
    "indicator": "turn signal",
    "rear lamp": "tail light",
    "side lamp": "parking light",
    "mole grips": "locking pliers",
    "axle stand": "jack stand",
    "aluminium": "aluminum",
    "colour": "color",
    "grey": "gray",
}
"""British to American; a word that must stay stands for itself."""

_WORDS = re.compile(
    rf"\b({'|'.join(map(re.escape, sorted(AMERICAN, key=len, reverse=True)))})(s?)\b",
    re.IGNORECASE,
)


def american(text: str) -> str:
    """Say it in American words; capitals stay as they were.

    Examples
    --------
    >>> american("Spanner on the bonnet hinge; wing nut, two tyres")
    'Wrench on the hood hinge; wing nut, two tires'
    """

    def said(found: re.Match[str]) -> str:
        word = AMERICAN[found[1].casefold()]
        if found[2]:
            word += "es" if word.endswith(("s", "sh", "ch", "x")) else "s"
        if found[1].isupper():
            return word.upper()
        return word[0].upper() + word[1:] if found[1][0].isupper() else word

    return _WORDS.sub(said, text)
