"""The hardware check as a person reads it: what is short first, and first what could hurt."""

from collections.abc import Iterator
from dataclasses import dataclass

from putback.logbook.entries.base import Subject, TagCode
from putback.logbook.hardware_check import (
    HardwareCheck,
    Line,
    SpecCheck,
    TagCheck,
    hardware_check,
    joint_of,
    said_of,
    say_account,
)
from putback.logbook.open_items.wording import count, listed
from putback.logbook.state import State
from putback.vehicle.nearest import fold_words


@dataclass(frozen=True, slots=True)
class Discrepancy:
    """One fastener of one joint, of which there are too few or too many."""

    owner: Subject
    name: str
    spec: str
    short: int
    over: int
    wanted: int
    critical: bool
    where: str
    """Where those are that are left over or gone."""
    doubt: str
    """Says so where nobody counted."""


@dataclass(frozen=True, slots=True)
class BagTold:
    """A bag, box or crate with what is in it."""

    tag: TagCode
    container: str
    name: str
    where: str
    contents: tuple[str, ...]
    short: int
    over: int
    is_counted: bool


@dataclass(frozen=True, slots=True)
class HardwareTold:
    """The whole check."""

    closes: bool
    verdict: str
    short: int
    over: int
    to_go_on: int
    discrepancies: tuple[Discrepancy, ...]
    """Safety-critical ones first, then what is short, then what is left over."""
    fits: tuple[str, ...]
    """Temporary fits that are still in."""
    bags: tuple[BagTold, ...]
    specs: tuple[SpecCheck, ...]


def tell_hardware(state: State, words: str = "") -> HardwareTold:
    """Tell the hardware check; with ``words``, only of joints, bags and fasteners that have them.

    The verdict is of everything, whatever is looked for.
    """
    check = hardware_check(state)
    wanted = fold_words(words).split()

    def is_wanted(*told: str) -> bool:
        text = fold_words(" ".join(told))
        return all(word in text for word in wanted)

    found = [each for each in _discrepancies(state, check) if is_wanted(each.name, each.spec)]
    bags = (_bag(state, each) for each in check.tags)
    return HardwareTold(
        closes=check.closes,
        verdict=_verdict(check),
        short=check.short,
        over=check.over,
        to_go_on=check.to_go_on,
        discrepancies=tuple(sorted(found, key=_dangers_first)),
        fits=tuple(each.what or each.fit for each in check.fits_in),
        bags=tuple(
            each
            for each in bags
            if is_wanted(each.tag, each.container, each.name, each.where, *each.contents)
        ),
        specs=tuple(each for each in check.specs if is_wanted(each.spec)),
    )


def tell_bag(state: State, tag: TagCode) -> BagTold | None:
    """Tell what one bag holds; ``None`` where nothing speaks of it."""
    found = (each for each in hardware_check(state).tags if each.tag == tag)
    return next((_bag(state, each) for each in found), None)


def _verdict(check: HardwareCheck) -> str:
    if not (check.lines or check.tags or check.fits_in):
        return "nothing to check yet: no fastener is described, and none was logged"
    if check.closes:
        return "it closes: all is back on, nothing is left over, nothing temporary is in"
    open_ones = [
        f"{check.short} short" if check.short else "",
        f"{check.over} left over" if check.over else "",
        f"{check.to_go_on} still to go on" if check.to_go_on else "",
        f"{count(len(check.fits_in), 'temporary fit')} still in" if check.fits_in else "",
    ]
    told = listed(filter(None, open_ones)) or "not everything is back together"
    return f"it does not close yet: {told}"


def _discrepancies(state: State, check: HardwareCheck) -> Iterator[Discrepancy]:
    for line in check.lines:
        if line.short or line.over:
            identity = joint_of(line.owner)
            joint = state.vehicle.joints.get(identity) if identity else None
            yield Discrepancy(
                owner=line.owner,
                name=state.name_of(line.owner),
                spec=line.spec,
                short=line.short,
                over=line.over,
                wanted=line.wanted,
                critical=joint is not None and joint.critical,
                where=_where(line),
                doubt=said_of(line.counted).strip(),
            )


def _where(line: Line) -> str:
    accounts = line.gone if line.short else line.laid_up
    return ", ".join(f"{many} {say_account(each)}" for each, many in sorted(accounts.items()))


def _dangers_first(each: Discrepancy) -> tuple[bool, bool, str]:
    return not each.critical, not each.short, each.name.casefold()


def _bag(state: State, check: TagCheck) -> BagTold:
    now = state.containers.get(check.tag)
    subject = Subject(f"tag:{check.tag}")
    contents = [
        state.name_of(f"part:{part}")
        for part, each in state.parts.items()
        if each.common.tag == check.tag
    ]
    contents += [
        f"{piece.count} × {piece.spec}{said_of(piece.counted)}, of {state.name_of(piece.owner)}"
        for piece in check.pieces
    ]
    contents += [
        f"{box.container} {other}{f' ({box.name})' if box.name else ''}"
        for other, box in state.containers.items()
        if box.common.tag == check.tag
    ]
    return BagTold(
        tag=check.tag,
        container=now.container if now else "bag",
        name=now.name if now else "",
        where=", ".join(state.name_of(each) for each in state.chain_of(subject)),
        contents=tuple(contents),
        short=check.short,
        over=check.over,
        is_counted=check.counted_by is not None,
    )
