"""Tags to print: those in use with what is in them, blank ones, and red ones."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, tzinfo

from putback.errors import BadInput, NotFound
from putback.logbook.common import Said
from putback.logbook.entries.base import Subject, TagCode
from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.hardware_check import hardware_check, joint_of, said_of
from putback.logbook.moments import day_words
from putback.logbook.state import State
from putback.logbook.tags import TAG_COUNT, Tag, nearest
from putback.paper.stock import Stock, stock_called
from putback.paper.tags import Held, RedTag, TagLabel, red_tags_pdf, tags_pdf
from putback.paper.words import ENGLISH, Own, Words
from putback.vehicle.ids import JointId, PartId, joint_ref
from putback.vehicle.part import Side
from putback.workshop.printing.units import torque_in
from putback.workshop.printing.wanted import Wanted

_LABELS = {"a4": stock_called("a4-3x7"), "letter": stock_called("letter-3x10")}
_TIE_ONS = {"a4": stock_called("a4-tie-on"), "letter": stock_called("letter-tie-on")}
"""What is usual for each size of paper."""
_LOOSE = frozenset({Tightness.FINGER_TIGHT, Tightness.NIPPED, Tightness.STAGED})


def tags(wanted: Wanted) -> bytes:
    """Print the tags in use, or blank ones.

    Blank ones get the next codes in the order of issue, reserved for the device that asks: nobody
    else ever issues them, whether or not they are ever used.
    """
    if wanted.blank:
        return tags_pdf(blank_labels(wanted), _stuck_on(wanted), wanted.at, wanted.words)
    state = wanted.state()
    zone = wanted.workshop.clock.now().tzinfo
    found = tuple(labels(state, wanted.tags, zone, wanted.words))
    return tags_pdf(found, _stuck_on(wanted), wanted.at, wanted.words)


def blank_labels(wanted: Wanted) -> tuple[TagLabel, ...]:
    """Reserve tags, and lay them out in the order of issue.

    Raises
    ------
    BadInput
        If none, or more than there are, are asked for; nothing was reserved.
    """
    if not 1 <= wanted.blank <= TAG_COUNT:
        raise BadInput(f"{wanted.blank} blank tags cannot be printed", mend="ask for some dozens")
    name = Own(wanted.state().vehicle.about.name)
    reserved = wanted.workshop.reserve_tags(wanted.device, wanted.blank)
    return tuple(TagLabel(tag, name) for tag in reserved)


def labels(
    state: State, chosen: Iterable[str] = (), zone: tzinfo | None = None, words: Words = ENGLISH
) -> Iterator[TagLabel]:
    """Lay out the tags in use, in their order; only those chosen, if any are.

    Raises
    ------
    BadTag, NotFound
        If a chosen one is no tag, or on nothing here.
    """
    wanted = {TagCode(Tag(each)) for each in chosen}
    for tag in sorted(wanted - set(state.containers)):
        raise NotFound("tag in use", tag, nearest(tag, state.containers))
    pieces = _pieces_by_tag(words, state)
    for code in sorted(state.containers):
        if wanted and code not in wanted:
            continue
        now = state.containers[code]
        held = (
            *_parts_in(words, state, code),
            *pieces.get(code, ()),
            *_containers_in(state, code),
        )
        name, held = _named_once(now.name, held)
        yield TagLabel(
            tag=Tag(code),
            vehicle=Own(state.vehicle.about.name),
            kind=now.container,
            name=Own(name),
            held=held,
            zone=state.name_of(f"zone:{now.zone}") if now.zone else "",
            day=day_of(now.made or _first_put_in(state, code), zone),
        )


def _named_once(name: str, held: tuple[Held, ...]) -> tuple[str, tuple[Held, ...]]:
    """Leave out once what is said twice: a container named as the one thing that it is for."""
    if len(held) != 1 or held[0].of.casefold() != name.casefold():
        return name, held
    return (name, (replace(held[0], of=""),)) if held[0].what else ("", held)


def _first_put_in(state: State, tag: TagCode) -> Said | None:
    """When something that is in it came off, of a container that nobody made a line of its own."""
    said = [each.undone for each in state.joints.values() if tag in each.tags]
    said += [each.off for each in state.parts.values() if each.common.tag == tag]
    return min(filter(None, said), key=lambda each: each.key, default=None)


def day_of(said: Said | None, zone: tzinfo | None) -> str:
    """The day of an entry, in words; empty where there is none."""
    if said is None:
        return ""
    moment = datetime.fromtimestamp(said.key[-1][0] / 1000, zone or UTC)
    return day_words(moment.date().isoformat())


def _pieces_by_tag(words: Words, state: State) -> dict[TagCode, list[Held]]:
    """What lies in each bag, joint by joint."""
    found: dict[TagCode, list[Held]] = {}
    for check in hardware_check(state).tags:
        by_owner: dict[Subject, list[str]] = {}
        for piece in check.pieces:
            said = f"{piece.count} × {piece.spec}{said_of(piece.counted)}"
            by_owner.setdefault(piece.owner, []).append(said)
        found[check.tag] = [
            Held(
                Own(name := state.name_of(owner)),
                ", ".join(said),
                _unless_said(_side_of_joint(words, state, joint_of(owner)), name),
            )
            for owner, said in by_owner.items()
        ]
    return found


def _parts_in(words: Words, state: State, tag: TagCode) -> Iterator[Held]:
    for part, now in state.parts.items():
        if now.common.tag == tag:
            name = state.name_of(f"part:{part}")
            yield Held(Own(name), side=_unless_said(_side(words, state, [part]), name))


def _containers_in(state: State, tag: TagCode) -> Iterator[Held]:
    for other, now in sorted(state.containers.items()):
        if now.common.tag == tag:
            yield Held(f"{now.container} {other}{f' ({now.name})' if now.name else ''}")


def _unless_said(side: str, name: str) -> str:
    """Leave a side away that stands at the end of the name: *drum to hub, left*."""
    return "" if name.casefold().endswith(f" {side}") else side


def _side_of_joint(words: Words, state: State, joint: JointId | None) -> str:
    described = state.vehicle.joints.get(joint) if joint else None
    return _side(words, state, described.parts) if described else ""


def _side(words: Words, state: State, parts: Iterable[PartId]) -> str:
    """The one side that these parts are on; empty if they are on none or both."""
    known = (state.vehicle.parts[each] for each in parts if each in state.vehicle.parts)
    sides = {each.side for each in known if each.side is not None}
    if len(sides) != 1:
        return ""
    return words.left if sides == {Side.LEFT} else words.right


def _stuck_on(wanted: Wanted) -> Stock:
    """What tags are printed on: as wanted, and labels of the usual paper where nothing was."""
    return wanted.stock or _LABELS[wanted.page.size]


def _tied_on(wanted: Wanted) -> Stock:
    """What a red tag is printed on: as wanted, and card to tie on where nothing was."""
    return wanted.stock or _TIE_ONS[wanted.page.size]


# -- red ----------------------------------------------------------------------------------------


def not_torqued(wanted: Wanted) -> bytes:
    """Print a red tag for each joint that is made and not tightened; blank ones if asked for."""
    words = wanted.words
    state = wanted.state()
    name = Own(state.vehicle.about.name)
    found = [] if wanted.blank else list(_not_torqued(wanted, state, name))
    missing = max(wanted.blank, 1) if not found else 0
    blank = RedTag(words.not_torqued, words.not_torqued_why, name)
    return red_tags_pdf([*found, *[blank] * missing], _tied_on(wanted), wanted.at, wanted.words)


def _not_torqued(wanted: Wanted, state: State, name: str) -> Iterator[RedTag]:
    words = wanted.words
    for joint, now in state.joints.items():
        if now.made is None or now.tightness not in _LOOSE:
            continue
        described = state.vehicle.joints.get(joint)
        yield RedTag(
            words.not_torqued,
            words.not_torqued_why,
            name,
            what=f"{state.name_of(joint_ref(joint))} ({now.stage})",
            needs=torque_in(words, wanted.units, described) if described else "",
        )


def not_for_the_road(wanted: Wanted) -> bytes:
    """Print red tags for the steering wheel and the ignition key: two, or as many as wanted."""
    words = wanted.words
    blank = RedTag(
        words.not_for_the_road, words.not_for_the_road_why, Own(wanted.state().vehicle.about.name)
    )
    return red_tags_pdf([blank] * (wanted.blank or 2), _tied_on(wanted), wanted.at, wanted.words)
