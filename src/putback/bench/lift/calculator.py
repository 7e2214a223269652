"""The calculator ``lift``: may one person lift this, or two, and how bad is it for the back."""

from dataclasses import replace
from math import radians

from putback.bench import both
from putback.bench.calculator import (
    Answer,
    Asked,
    Calculator,
    Figure,
    OutsideLimits,
    Quantity,
    Step,
    Table,
)
from putback.bench.lift.equation import (
    COUPLING,
    MOST_MINUTES,
    SYSTEMS,
    TEAM_SHARE,
    Constants,
    Lift,
    Limit,
    duration_class,
    frequency_over_a_quarter,
    minutes_in_one_go,
    recommended_limit,
)
from putback.bench.lift.picture import from_the_side
from putback.bench.lines import read_lines
from putback.bench.tables import data_table

USUAL_WAY = "standing, two hands"
_WEIGHED = "as weighed"

OUTSIDE = {
    "one hand": "with one hand",
    "seated or kneeling": "seated or kneeling",
    "cramped": "where there is no room to stand and move",
    "pushing, pulling or carrying": "while pushing, pulling or carrying it",
    "load that shifts": "of a load whose weight shifts, as a half-filled can's does",
    "slippery floor": "on a floor that does not hold the foot",
    "fast": "in a jerk: faster than about 0.75 m a second",
    "wheelbarrow or shovel": "with a wheelbarrow or a shovel",
    "hot, cold or damp": "far from 19 to 26 °C and 35 to 50 % of humidity",
}
"""Ways of lifting for which the manual says that the equation does not hold (94-110, 1.2)."""

_SOURCE = "DHHS (NIOSH) 94-110, revised 9/2021"
_TEAM_SOURCE = "HSE guidance L23 on the Manual Handling Operations Regulations"


def lift(
    mass_kg: float | None,
    thing: str,
    how: str,
    reach_m: float,
    height_m: float,
    to_height_m: float,
    careful: bool,
    to_reach_m: float | None,
    twist_rad: float,
    to_twist_rad: float,
    grip: str,
    per_minute: float,
    spell_minutes: float | None,
    minutes: float,
    spells: str | None,
    people: int,
    constants: str,
) -> Answer:
    """Judge a lift by the revised NIOSH equation.

    Parameters
    ----------
    mass_kg : float or None
        What the load weighs, [kg].
    thing : str
        A common thing whose usual weight is taken where none was weighed.
    how : str
        The way it is lifted; all but one are outside the equation.
    reach_m, height_m, twist_rad : float
        Where the hands are at the start: out from the ankles [m], over the floor [m], off
        straight ahead [rad].
    to_height_m, to_reach_m, to_twist_rad : float
        The same where it is set down, [m, m, rad].
    careful : bool
        Whether it must be placed with care, so that the far end counts.
    grip : str
        Good, fair or poor.
    per_minute : float
        Lifts a minute while it lasts, [1/min].
    spell_minutes : float or None
        How many of each 15 minutes it lasts, [min].
    minutes : float
        How long it goes on before a rest that counts, [min].
    spells : str or None
        Lines of minutes of lifting and of light work after them; they win over ``minutes``.
    people : int
        How many lift together.
    constants : str
        The manual's metric or US numbers.

    Raises
    ------
    OutsideLimits
        The equation does not hold for this, or not for so many people.
    """
    if spells:
        minutes = minutes_in_one_go(_read_spells(spells))
    _refuse(how, minutes, people)
    by = SYSTEMS[constants]
    if spell_minutes is not None:
        per_minute = frequency_over_a_quarter(per_minute, spell_minutes)
    start = Lift(
        reach_m, height_m, abs(to_height_m - height_m), twist_rad, per_minute, minutes, grip
    )
    end = replace(
        start,
        reach_m=reach_m if to_reach_m is None else to_reach_m,
        height_m=to_height_m,
        twist_rad=to_twist_rad,
    )
    ends = {"start": start} | ({"end": end} if careful else {})
    limits = {name: recommended_limit(each, by) for name, each in ends.items()}
    worst = min(limits, key=lambda name: limits[name].weight_kg)
    one_kg = limits[worst].weight_kg
    team_kg = one_kg * people * TEAM_SHARE[people]
    load_kg, guessed = _load(mass_kg, thing)
    index = round(load_kg / team_kg, 2) if load_kg is not None and team_kg > 0 else None
    steps = [step for name, each in limits.items() for step in _steps(name, ends[name], each, by)]
    if people > 1:
        steps.append(_team_step(one_kg, people, team_kg))
    if index is not None and load_kg is not None:
        steps.append(_index_step(load_kg, team_kg, index))
    return Answer(
        calculator="lift",
        inputs=(
            Figure("mass", "what it weighs", load_kg, Quantity.MASS),
            Figure("people", "people who lift", people, Quantity.COUNT),
            *(
                Figure(f"{measure}_at_{name}", f"{words} at the {name}", value, Quantity.LENGTH)
                for name, end in ends.items()
                for measure, words, value in (
                    ("out", "hands out from the ankles", end.reach_m),
                    ("height", "hands over the floor", end.height_m),
                )
            ),
            Figure("travel", "how far up or down", start.travel_m, Quantity.LENGTH),
            Figure("grip", "the grip", grip, Quantity.TEXT),
            Figure("often", "lifts a minute over 15 minutes", per_minute),
            Figure("minutes", "lifting without a rest that counts", minutes, Quantity.TIME),
            Figure("duration", "how long it goes on", duration_class(minutes), Quantity.TEXT),
        ),
        results=(
            Figure("index", "lifting index", index),
            Figure("limit", "what these people may lift", team_kg, Quantity.MASS),
            Figure("one", "recommended weight limit of one", one_kg, Quantity.MASS),
            *(
                Figure(f"limit_at_{name}", f"limit of one at the {name}", each.weight_kg,
                       Quantity.MASS)
                for name, each in limits.items()
            ),
            Figure("governs", "the end that sets the limit", worst, Quantity.TEXT),
        ),
        verdict=_verdict(index, load_kg, one_kg, people, limits[worst]),
        steps=tuple(steps),
        tables=(_multipliers(limits), _common_weights()),
        drawings=(from_the_side(start, end, by),),
        sources=(
            f"{_SOURCE}: equation, Tables 5 and 7",
            *([f"{_TEAM_SOURCE}: what a team lifts (common practice)"] if people > 1 else []),
            *(["common practice: the weight of a common thing, not weighed"] if guessed else []),
        ),
        limits=(
            "two hands, standing, with room, a load that holds still and a floor that holds the "
            "foot; carrying no more than a step or two",
            "what nearly all healthy working people may lift; nobody who is hurt, expecting, "
            "very young or old",
            "the rest after it: as long as the lifting for an hour, 0.3 times as long for two",
        ),
        cautions=(
            "An index above 1 raises the risk of hurting a back: get help or a hoist; above 3 use "
            "a hoist.",
            "Keep fingers from under it, and agree beforehand where it is set down and who says "
            "the word.",
        ),
    )  # fmt: skip


def _refuse(how: str, minutes: float, people: int) -> None:
    if how != USUAL_WAY:
        raise OutsideLimits(
            f"the equation does not apply to lifting {OUTSIDE[how]}",
            mend="use a hoist or a second person, or lift it standing with both hands",
            field="how",
        )
    if minutes > MOST_MINUTES:
        raise OutsideLimits(
            f"the equation does not apply to more than eight hours, here {minutes / 60:.1f}",
            mend="share the work over more days",
            field="minutes",
        )
    if people not in TEAM_SHARE:
        raise OutsideLimits(
            f"no share is known for {people} people lifting together",
            mend="say 1, 2 or 3; for more, plan the lift and use a hoist",
            field="people",
        )


def _read_spells(text: str) -> list[tuple[float, float]]:
    """Read lines of minutes lifting and minutes of light work after it [min]."""
    found = []
    for line in read_lines(text, "spells"):
        line.at_most(2, "30 10")
        work, rest = line.value(0, "lifting"), line.value(1, "rest") if len(line) > 1 else 0.0
        if work < 0 or rest < 0:
            raise line.fault("a time is less than nothing", "write minutes: 30 10")
        found.append((work, rest))
    return found


def _load(mass_kg: float | None, thing: str) -> tuple[float | None, bool]:
    """Give what it weighs, the heavier end where only the thing is known; and whether guessed."""
    if mass_kg is not None or thing == _WEIGHED:
        return mass_kg, False
    rows = data_table("common_weights").rows
    return next(float(row["high_kg"]) for row in rows if row["thing"] == thing), True


def _verdict(
    index: float | None, load_kg: float | None, one_kg: float, people: int, worst: Limit
) -> str:
    who = {1: "One person", 2: "Two people", 3: "Three people"}[people]
    team_kg = one_kg * people * TEAM_SHARE[people]
    if not one_kg:
        why = {
            "too far out from the body": worst.hm,
            "too high": worst.vm,
            "too long a way up or down": worst.dm,
            "too far round to the side": worst.am,
            "too often": worst.fm,
        }
        return f"Nothing at all should be lifted so: {next(w for w, by in why.items() if not by)}."
    team = both.mass(team_kg, 1)
    if index is None or load_kg is None:
        return f"{who} may lift {team} so."
    load = both.mass(load_kg, 1)
    if index <= 1:
        return f"{who} may lift these {load}: the limit is {team}."
    if index <= 3:
        return (
            f"Too heavy for {who.lower()} without a raised risk: {load} against "
            f"{team}; get help, bring it closer, or use a hoist."
        )
    return f"Use a hoist: {load} is {index:.1f} times what {who.lower()} may lift so."


def _steps(name: str, lift: Lift, limit: Limit, by: Constants) -> list[Step]:
    metric = by.name == "metric"
    near = "25 cm" if metric else "10 in"
    loss = "0.003 |V − 75 cm| per cm" if metric else "0.0075 |V − 30 in| per in"
    at = f" at the {name}"
    h = Figure("H", "hands out from the ankles", lift.reach_m, Quantity.LENGTH)
    v = Figure("V", "hands over the floor", lift.height_m, Quantity.LENGTH)
    d = Figure("D", "how far up or down", lift.travel_m, Quantity.LENGTH)
    a = Figure("A", "off straight ahead", lift.twist_rad, Quantity.ANGLE)
    found = {
        "HM": Figure("HM", f"for reach{at}", limit.hm),
        "VM": Figure("VM", f"for height{at}", limit.vm),
        "DM": Figure("DM", f"for travel{at}", limit.dm),
        "AM": Figure("AM", f"for turning{at}", limit.am),
        "FM": Figure("FM", f"for frequency{at}", limit.fm),
        "CM": Figure("CM", f"for grip{at}", limit.cm),
    }
    return [
        Step(f"HM = {near} / H", {"H": h}, found["HM"], "94-110, 1.3.1"),
        Step(f"VM = 1 − {loss}", {"V": v}, found["VM"], "94-110, 1.3.2"),
        Step(
            f"DM = 0.82 + {'4.5 cm' if metric else '1.8 in'} / D", {"D": d}, found["DM"],
            "94-110, 1.3.3",
        ),
        Step("AM = 1 − 0.0032 A per degree", {"A": a}, found["AM"], "94-110, 1.3.4"),
        Step(
            "FM = Table 5 (F, duration, V)",
            {
                "F": Figure("F", "lifts a minute", lift.per_minute),
                "duration": Figure("duration", "how long", duration_class(lift.minutes),
                                   Quantity.TEXT),
                "V": v,
            },
            found["FM"], "94-110, Table 5",
        ),
        Step(
            "CM = Table 7 (grip, V)",
            {"grip": Figure("grip", "the grip", lift.grip, Quantity.TEXT), "V": v},
            found["CM"], "94-110, Table 7",
        ),
        Step(
            "RWL = LC · HM · VM · DM · AM · FM · CM",
            {"LC": Figure("LC", "load constant", by.load_kg, Quantity.MASS), **found},
            Figure("RWL", f"recommended weight limit{at}", limit.weight_kg, Quantity.MASS),
            "94-110, 1.1.1",
        ),
    ]  # fmt: skip


def _team_step(one_kg: float, people: int, team_kg: float) -> Step:
    return Step(
        "limit = RWL · n · share",
        {
            "RWL": Figure("RWL", "limit of one", one_kg, Quantity.MASS),
            "n": Figure("n", "people", people, Quantity.COUNT),
            "share": Figure("share", "what a team lifts of the sum", TEAM_SHARE[people]),
        },
        Figure("limit", "limit of all together", team_kg, Quantity.MASS),
        f"{_TEAM_SOURCE}; common practice, the equation itself is for one",
    )


def _index_step(load_kg: float, team_kg: float, index: float) -> Step:
    return Step(
        "LI = L / limit",
        {
            "L": Figure("L", "the load", load_kg, Quantity.MASS),
            "limit": Figure("limit", "what these people may lift", team_kg, Quantity.MASS),
        },
        Figure("LI", "lifting index", index),
        "94-110, 1.1.2",
    )


def _multipliers(limits: dict[str, Limit]) -> Table:
    rows = tuple(
        (
            Figure("end", "end", name, Quantity.TEXT),
            *(
                Figure(key, key.upper(), getattr(each, key))
                for key in ("hm", "vm", "dm", "am", "fm", "cm")
            ),
            Figure("rwl", "RWL", each.weight_kg, Quantity.MASS),
        )
        for name, each in limits.items()
    )
    head = ("end", "HM", "VM", "DM", "AM", "FM", "CM", "limit of one")
    return Table("What takes most off: the smallest multiplier", head, rows)


def _common_weights() -> Table:
    rows = tuple(
        (
            Figure("thing", "thing", row["thing"], Quantity.TEXT),
            Figure("low", "from", float(row["low_kg"]), Quantity.MASS),
            Figure("high", "to", float(row["high_kg"]), Quantity.MASS),
        )
        for row in data_table("common_weights").rows
    )
    return Table("What things weigh (common practice: weigh it)", ("thing", "from", "to"), rows)


CALCULATOR = Calculator(
    "lift",
    "Lifting by hand",
    "May one person lift this, or two, without hurting a back?",
    (
        Asked("mass", "mass_kg", "What it weighs", Quantity.MASS, low=0, is_optional=True,
              bare="kg"),
        Asked("thing", "thing", "Or what it is, if it was not weighed", Quantity.CHOICE,
              _WEIGHED, "the heavier end of what is usual is taken",
              (_WEIGHED, *(row["thing"] for row in data_table("common_weights").rows))),
        Asked("how", "how", "How it is lifted", Quantity.CHOICE, USUAL_WAY,
              "the equation holds for the first only", (USUAL_WAY, *OUTSIDE)),
        Asked("out", "reach_m", "Hands out from the ankles, at the start", Quantity.LENGTH,
              "30 cm", "along the floor, from the middle of both", low=0, bare="cm"),
        Asked("height", "height_m", "Hands over the floor, at the start", Quantity.LENGTH,
              "75 cm", low=0, bare="cm"),
        Asked("to_height", "to_height_m", "Hands over the floor, at the end", Quantity.LENGTH,
              "100 cm", low=0, bare="cm"),
        Asked("careful", "careful", "It must be set down with care", Quantity.YES, "yes",
              "guided, held or gripped anew: then the end counts too"),
        Asked("to_out", "to_reach_m", "Hands out from the ankles, at the end", Quantity.LENGTH,
              hint="as at the start if left empty", low=0, is_optional=True, bare="cm"),
        Asked("twist", "twist_rad", "Turned off straight ahead, at the start", Quantity.ANGLE,
              "0 deg", low=0, high=radians(180), bare="deg"),
        Asked("to_twist", "to_twist_rad", "Turned off straight ahead, at the end",
              Quantity.ANGLE, "0 deg", low=0, high=radians(180), bare="deg"),
        Asked("grip", "grip", "The grip", Quantity.CHOICE, "fair",
              "good: handles; fair: fingers bent under it; poor: bulky, sharp or sagging",
              tuple(COUPLING)),
        Asked("often", "per_minute", "Lifts a minute", Quantity.NUMBER, "0.2",
              "one in five minutes or less is 0.2", low=0),
        Asked("spell", "spell_minutes", "Of each 15 minutes, so many are lifting", Quantity.TIME,
              hint="all 15 if left empty", low=0, high=15, is_optional=True, bare="min"),
        Asked("minutes", "minutes", "How long it goes on before a proper rest", Quantity.TIME,
              "60 min", "a rest as long as the lifting, up to an hour of it", low=0, bare="min"),
        Asked("spells", "spells", "Or spell by spell: minutes of lifting, of light work after",
              Quantity.LINES, hint="30 10 | 45: a rest too short joins two spells",
              is_optional=True),
        Asked("people", "people", "People who lift together", Quantity.COUNT, "1", low=1),
        Asked("constants", "constants", "The manual's numbers", Quantity.CHOICE, "metric",
              choices=tuple(SYSTEMS)),
    ),
    lift,
    {"mass": "35 kg", "out": "40 cm", "height": "30 cm", "to_height": "90 cm", "grip": "fair",
     "people": "2"},
)  # fmt: skip
