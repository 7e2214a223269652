"""From what a person calls a thing to the thing itself.

A name is taken if it is an identity, a name in British or American words, or the only one that
has all its words. Otherwise the nearest names are offered: nothing is guessed.
"""

from collections.abc import Iterable, Mapping
from difflib import SequenceMatcher

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import Subject
from putback.logbook.state import State
from putback.logbook.tags import BadTag, Tag

Names = Mapping[str, tuple[str, ...]]
"""The names of each identity."""

KINDS = ("part", "joint", "opening", "tag", "fluid", "fit", "job", "standing", "place", "assembly")
"""What can be looked up, in the order in which a bare name is tried."""

_MOST_OFFERED = 3
_NEAR_ENOUGH = 0.55


def names_of(state: State, kind: str) -> Names:
    """Give the names of everything of one kind, things that nobody described yet included."""
    vehicle = state.vehicle
    match kind:
        case "part":
            parts: Names = {each.id: (each.name, each.name_us) for each in vehicle.parts.values()}
            return {**dict.fromkeys(map(str, state.parts), ()), **parts}
        case "joint":
            joints: Names = {each.id: (each.name,) for each in vehicle.joints.values()}
            return {**dict.fromkeys(map(str, state.joints), ()), **joints}
        case "opening":
            return {each.id: (each.name,) for each in vehicle.openings.values()}
        case "tag":
            return {tag: (each.name,) for tag, each in state.containers.items()}
        case "fluid":
            return {each.id: (each.name,) for each in vehicle.fluids.values()}
        case "fit":
            return {fit: (each.what,) for fit, each in state.fits.items()}
        case "job":
            return {each.id: (each.name,) for each in vehicle.jobs.values()}
        case "standing":
            return {each.id: (each.name,) for each in vehicle.standings.values()}
        case "place":
            return {place: (each.name,) for place, each in state.places.items()}
        case "assembly":
            return {each.id: (each.name,) for each in vehicle.assemblies.values()}
        case "goal":
            return {each.id: (each.name,) for each in vehicle.goals.values()}
        case "zone":
            return {each.id: (each.name,) for each in vehicle.zones.values()}
        case _:
            raise BadInput(f"there is no kind of thing called {kind!r}", mend=", ".join(KINDS))


def find(state: State, kind: str, text: str) -> str:
    """Find the identity of one thing of a kind by what a person calls it.

    Raises
    ------
    NotFound
        If nothing is called so; with the nearest names.
    BadInput
        If several are.
    """
    names = names_of(state, kind)
    found = _matching(names, text)
    if len(found) == 1:
        return found[0]
    if len(found) > 1:
        which = ", ".join(f"{each} ({_shown(names, each)})" for each in found[:6])
        raise BadInput(f"{len(found)} of kind {kind} are called {text!r}", mend=f"say {which}")
    raise NotFound(kind, text, nearest(names, text))


def find_subject(state: State, text: str) -> Subject:
    """Find anything: ``joint:...`` says the kind, a bare name is tried as every kind in turn.

    Raises
    ------
    NotFound
        If nothing is called so.
    BadInput
        If several are, within the first kind that has any.
    """
    kind, colon, rest = text.partition(":")
    if colon and kind in KINDS:
        if kind == "tag":
            return Subject(f"tag:{Tag(rest)}")
        return Subject(f"{kind}:{find(state, kind, rest)}")
    for each in KINDS:
        if _matching(names_of(state, each), text):
            return Subject(f"{each}:{find(state, each, text)}")
    try:
        return Subject(f"tag:{Tag(text)}")
    except BadTag:
        everything = {
            f"{each}:{identity}": names
            for each in KINDS
            for identity, names in names_of(state, each).items()
        }
        raise NotFound("part, joint, tag or job", text, nearest(everything, text)) from None


def nearest(names: Names, text: str) -> tuple[str, ...]:
    """Give the names most like a text, in whatever order its words stand, best first."""
    wanted, sorted_wanted = text.casefold(), _in_word_order(text)
    scored: dict[str, float] = {}
    for identity, known in names.items():
        for name in filter(None, (*known, identity)):
            folded = name.casefold()
            plain = SequenceMatcher(None, wanted, folded).ratio()
            turned = SequenceMatcher(None, sorted_wanted, _in_word_order(name)).ratio()
            scored[name] = max(plain, turned)
    best = sorted(scored, key=lambda name: (-scored[name], name))
    return tuple(name for name in best[:_MOST_OFFERED] if scored[name] >= _NEAR_ENOUGH)


def _matching(names: Names, text: str) -> list[str]:
    wanted = text.strip().casefold()
    if not wanted:
        return []
    exact = [each for each in names if each.casefold() == wanted]
    if exact:
        return exact
    named = [
        each for each, known in names.items() if wanted in {name.casefold() for name in known}
    ]
    if named:
        return named
    words = set(wanted.split())
    return [
        each
        for each, known in names.items()
        if any(words <= set(_words(name)) for name in known if name)
    ]


def _words(name: str) -> Iterable[str]:
    return name.casefold().replace(",", " ").replace("(", " ").replace(")", " ").split()


def _in_word_order(text: str) -> str:
    return " ".join(sorted(_words(text)))


def _shown(names: Names, identity: str) -> str:
    return next(filter(None, names[identity]), identity)
