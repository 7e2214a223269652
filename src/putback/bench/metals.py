"""The calculator ``metals``: which of two metals corrodes where they touch, and how to part them.

The metal that stands first in the galvanic series is the anode and corrodes; worst is a small
anode in a large cathode, such as a plain rivet in a brass sheet (MIL-STD-889; MIL-STD-1250A, 5.6
and 5.7).
"""

import re
from dataclasses import dataclass

from putback.bench.calculator import Answer, Asked, Calculator, Figure, Quantity, Step, Table
from putback.bench.tables import data_table


@dataclass(frozen=True, slots=True)
class Metal:
    """A metal by its place in the series; lower corrodes. ``met`` says where one meets it."""

    name: str
    place: int
    met: str


def metals() -> tuple[Metal, ...]:
    """Every metal of ``data/galvanic.csv``, the one that corrodes most readily first."""
    rows = data_table("galvanic").rows
    return tuple(Metal(row["metal"], int(row["place"]), row["met"]) for row in rows)


NAMES = tuple(each.name for each in metals())


def metal_named(name: str) -> Metal:
    """Find one of `metals`."""
    (found,) = (each for each in metals() if each.name == name)
    return found


def meant(text: str) -> tuple[str, ...]:
    """Names that a shorter one may mean, or what the metal is met as.

    Examples
    --------
    >>> meant("steel"), meant("galvanised")
    (('steel 1010',), ('zinc plate',))
    """
    said = set(_words(text))
    if said == {"stainless", "steel"}:
        said = {"stainless"}
    by_name = tuple(each.name for each in metals() if said and said <= set(_words(each.name)))
    return by_name or tuple(
        each.name for each in metals() if said and said <= set(_words(each.met))
    )


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z0-9-]+", text.lower().replace("aluminum", "aluminium"))


def corroding(one: Metal, other: Metal) -> Metal | None:
    """The one of two metals that corrodes where they touch, or None if they are the same."""
    return None if one == other else min(one, other, key=lambda each: each.place)


def may_hold(fastener: Metal, sheet: Metal) -> bool:
    """Whether a small fastener is of the same or a nobler metal than the sheet it holds."""
    return fastener.place >= sheet.place


def work(*, fastener: str, sheet: str) -> Answer:
    """Say which corrodes, and whether the fastener may be of that metal.

    Parameters
    ----------
    fastener, sheet : str
        Two of `NAMES`: the small piece, and what it holds.
    """
    small, large = metal_named(fastener), metal_named(sheet)
    loser = corroding(small, large)
    apart = abs(small.place - large.place)
    return Answer(
        calculator="metals",
        inputs=(
            Figure("fastener", "Fastener", small.name, Quantity.TEXT),
            Figure("sheet", "What it holds", large.name, Quantity.TEXT),
        ),
        results=(
            Figure("corrodes", "Corrodes", loser.name if loser else "neither", Quantity.TEXT),
            Figure(
                "may_hold", "The fastener is the cathode", may_hold(small, large), Quantity.YES
            ),
            Figure("apart", "Places apart in the series", apart, Quantity.COUNT),
        ),
        verdict=_verdict(small, large),
        steps=(
            Step(
                "apart = |nf - ns|",
                {
                    "nf": Figure("nf", "Place of the fastener", small.place, Quantity.COUNT),
                    "ns": Figure("ns", "Place of what it holds", large.place, Quantity.COUNT),
                },
                Figure("apart", "Places apart in the series", apart, Quantity.COUNT),
                "MIL-STD-889",
            ),
        ),
        tables=(_series(small),),
        sources=(
            data_table("galvanic").source,
            "MIL-STD-1250A, 5.6 and 5.7: no small anode in a large cathode",
            "Sealing, insulating and painting: common practice",
        ),
        limits=(
            "The order is that of bare metals in sea water: salt on the road comes near it, dry "
            "metal does not corrode so.",
            "Places tell an order, not how fast: neighbours hardly harm each other.",
            "Stainless steel counts as active, as under dirt and in gaps; clean and dry it is far "
            "nobler, and its neighbour corrodes the faster.",
        ),
        cautions=(
            "The maker's fastener wins. On wheels, brakes, steering, suspension and seat belts "
            "fit nothing else: common stainless and brass bolts are weaker than steel of 8.8.",
            "Corrosion under a sound-looking head weakens a joint unseen: take one out and look.",
        ),
    )


def _verdict(small: Metal, large: Metal) -> str:
    if small == large:
        return f"Both are {small.name}: neither eats the other."
    if may_hold(small, large):
        return (
            f"The {large.name} corrodes where they touch; the fastener is the small cathode, as "
            "it should be. Keep water out with sealant, an insulating washer, paint on both."
        )
    return (
        f"The fastener of {small.name} corrodes: a small anode in a large cathode of "
        f"{large.name}, the worst case; take one of the same or a nobler metal, or insulate it."
    )


def _series(small: Metal) -> Table:
    return Table(
        "The series: what stands higher corrodes",
        ("Place", "Metal", "Met as", "Such a fastener may hold it"),
        tuple(
            (
                Figure("place", "Place", each.place, Quantity.COUNT),
                Figure("metal", "Metal", each.name, Quantity.TEXT),
                Figure("met", "Met as", each.met, Quantity.TEXT),
                Figure(
                    "may_hold",
                    f"{small.name} may hold it",
                    may_hold(small, each),
                    Quantity.YES,
                ),
            )
            for each in metals()
        ),
    )


CALCULATOR = Calculator(
    name="metals",
    title="Metals together",
    words="Which of two metals corrodes where they touch, and whether a fastener may be of it.",
    asked=(
        Asked(
            "fastener", "fastener", "Fastener, the small piece", Quantity.CHOICE,
            default="zinc plate", choices=NAMES, meant=meant,
        ),
        Asked(
            "sheet", "sheet", "What it holds", Quantity.CHOICE, default="steel 1010",
            choices=NAMES, meant=meant,
        ),
    ),
    work=work,
    example={"fastener": "stainless 304 (active)", "sheet": "aluminium 3003"},
)  # fmt: skip
