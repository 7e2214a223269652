"""What a line says of a weighing: loads by support or axle, and what was not on the scales.

``front-axle=512 wheel-rl=240`` cannot be checked word by word: which supports there are hangs on
the standing, which may be said last.
"""

from collections.abc import Iterable
from typing import Any

from putback.errors import BadInput
from putback.logbook.fluids import is_fluid_out
from putback.logbook.state import FRONT_AXLE, REAR_AXLE, State
from putback.units import parse
from putback.vehicle import nearest
from putback.vehicle.ids import StandingId, part_ref


def fill_in(values: dict[str, Any], loads: Iterable[str], state: State) -> None:
    """Read ``place=load`` words into the values of a weighing; add what follows from the state.

    Raises
    ------
    InputError
        If a place is none of the standing's, is given twice, or its load cannot be read.
    """
    values.setdefault("standing", state.standing.standing)
    places = _places(state, values["standing"])
    read: dict[str, float] = {}
    for word in loads:
        named, _, text = word.rpartition("=")
        if not values["standing"] and named in _all_supports(state):
            raise BadInput(
                f"nobody said how it stands, so {named} may be no support of it",
                named,
                f"say that too: standing={_all_supports(state)[named]}",
            )
        place = nearest.find("support or axle", places, named)
        if place in read:
            raise BadInput(f"{place} has two loads", named, "weigh each once, or strike one out")
        read[place] = parse.mass_kg(text, bare="kg")
    values["loads_kg"] = read
    if not read:
        raise BadInput("nothing was weighed", mend="say front-axle=512, or a support and its load")
    values.setdefault("off", sorted(state.parts_off))
    values.setdefault("fluids_out", _fluids_out(state))


def _places(state: State, standing: StandingId | None) -> dict[str, tuple[str, ...]]:
    """What can be weighed in a standing, with its names: supports also go by what they carry."""
    described = state.vehicle.standings.get(standing) if standing else None
    supports = described.supports if described else ()
    return {
        FRONT_AXLE: (),
        REAR_AXLE: (),
        **{each.id: (state.name_of(part_ref(each.bears_on)),) for each in supports},
    }


def _all_supports(state: State) -> dict[str, StandingId]:
    """Every support there is, and a standing that has it."""
    standings = state.vehicle.standings.values()
    return {e.id: each.id for each in standings if not each.wrong for e in each.supports}


def _fluids_out(state: State) -> list[str]:
    """The fluids that are out, drained by themselves or by their job."""
    spoken = [each.fluid for each in state.fluids.values() if each.is_out]
    described = [each for each in state.vehicle.fluids if is_fluid_out(state.vehicle, state, each)]
    return sorted({*described, *(each for each in spoken if each not in state.vehicle.fluids)})
