"""Lists of fasteners: how tight each joint is made, whether all are there, which to order."""

from collections import Counter
from collections.abc import Sequence
from itertools import groupby

from putback.errors import InputError
from putback.logbook.state import State
from putback.paper.sheets import Column, Kind, Row, Section, Tick
from putback.paper.words import Own, Words
from putback.planning.rebuild import to_have, used_up
from putback.vehicle.fastener import parse
from putback.vehicle.fastener_kind import Form
from putback.vehicle.ids import JointId, joint_ref, part_ref
from putback.vehicle.joint import FinalWhen, Joint
from putback.workshop.printing.sheets import TICK, printed, upper_first
from putback.workshop.printing.units import torque_in
from putback.workshop.printing.wanted import Wanted
from putback.workshop.things.hardware_told import tell_hardware

_PACKED = frozenset({Form.STEM, Form.RING, Form.PIN})
PACKS = (100, 50, 25, 10)
"""Pieces in a pack, as they are usually sold (common practice) [pieces]."""


def torque_sheet(wanted: Wanted) -> bytes:
    """Print every joint that has a figure or is critical, zone by zone."""
    words = wanted.words
    state = wanted.state()
    joints = [
        each
        for each in state.vehicle.joints.values()
        if each.critical or each.tightening.torque_nm is not None or each.tightening.stages
    ]
    joints.sort(key=lambda each: (_zone(words, state, each).casefold(), each.name.casefold()))
    columns = (
        TICK,
        Column(words.torque_joint, width=3),
        Column(words.torque_figure, width=2.4),
        Column(words.torque_applied, Kind.WRITE, 1.1),
        Column(words.who_when, Kind.WRITE, 1.1),
        Column(words.torque_second, Kind.WRITE, 1.1),
    )
    sections = tuple(
        Section(zone, columns, tuple(_torque(wanted, state, each) for each in these))
        for zone, these in groupby(joints, key=lambda each: _zone(words, state, each))
    )
    lead = words.torque_lead if joints else words.torque_none
    return printed(
        wanted,
        state,
        words.torque_title,
        sections,
        lead=(lead,),
        signatures=(words.torque_wrench, words.done_by),
    )


def _zone(words: Words, state: State, joint: Joint) -> str:
    return upper_first(state.name_of(f"zone:{joint.zone}")) if joint.zone else words.no_zone


def _torque(wanted: Wanted, state: State, joint: Joint) -> Row:
    words, units = wanted.words, wanted.units
    tightening, now = joint.tightening, state.joints.get(joint.id)
    is_final = now is not None and now.made is not None and now.stage in ("tightened", "final")
    details = [
        words.torque_sequence.format(sequence=tightening.sequence) if tightening.sequence else "",
        words.torque_later.format(when=joint.final_when)
        if joint.final_when is not FinalWhen.AS_FITTED
        else "",
        words.torque_again.format(when=tightening.retorque_after)
        if tightening.retorque_after
        else "",
    ]
    applied = now.torque_nm if now and now.made is not None else None
    by = now.made.who if is_final and now and now.made else None
    second = next((each for each in now.checks if each.right), None) if now else None
    return Row(
        cells=(
            Tick.DONE if is_final else Tick.OPEN,
            Own(joint.name),
            torque_in(words, units, joint) or words.torque_no_figure,
            units.torque(applied) if applied is not None else "",
            state.name_of(f"person:{by}") if by else "",
            state.name_of(f"person:{second.said.who}") if second else "",
        ),
        details=tuple(map(upper_first, filter(None, details))),
        is_critical=joint.critical,
    )


def hardware(wanted: Wanted) -> bytes:
    """Print the hardware check: what is short or over, each bag, each fastener."""
    words = wanted.words
    state = wanted.state()
    told = tell_hardware(state)
    parts = {state.name_of(part_ref(each)) for each in state.parts}
    number = Kind.NUMBER
    short = Section(
        words.hardware_short,
        (TICK, Column(words.what, width=3), Column(words.fastener, width=2),
         Column("", width=1.2), Column(words.where, width=2)),
        tuple(
            Row((Tick.OPEN, Own(each.name), each.spec,
                 words.hardware_short_n.format(n=each.short) if each.short
                 else words.hardware_over_n.format(n=each.over),
                 " ".join(filter(None, (each.where, each.doubt)))),
                is_critical=each.critical)
            for each in told.discrepancies
        ),
        () if told.discrepancies else (words.hardware_none,),
    )  # fmt: skip
    fits = Section(
        words.hardware_fits,
        (TICK, Column(words.what, width=1)),
        tuple(Row((Tick.OPEN, upper_first(each))) for each in told.fits),
    )
    bags = Section(
        words.hardware_bags,
        (Column(words.hardware_counted, Kind.TICK), Column(words.tag, Kind.CODE),
         Column(words.contents, width=3), Column(words.where, width=1.6)),
        tuple(
            Row((Tick.DONE if each.is_counted else Tick.OPEN, each.tag,
                 Own(each.name) if each.name else upper_first(each.container), each.where),
                tuple(Own(said) if said in parts else said for said in each.contents))
            for each in told.bags
        ),
    )  # fmt: skip
    specs = Section(
        words.hardware_specs,
        (Column(words.fastener, width=1), Column(words.takes, number), Column(words.is_on, number),
         Column(words.laid_up, number), Column(words.new, number), Column(words.short, number),
         Column(words.over, number)),
        tuple(
            Row((each.spec, *map(str, (each.wanted, each.on, each.laid_up, each.new, each.short,
                                       each.over))))
            for each in told.specs
        ),
    )  # fmt: skip
    sections = (short, fits, bags, specs)
    return printed(
        wanted,
        state,
        words.hardware_title,
        tuple(each for each in sections if each.rows or each.notes),
        lead=(f"{upper_first(told.verdict)}.",),
    )


def order_list(wanted: Wanted) -> bytes:
    """Print what the rebuild wants new, by specification, in packs.

    Raises
    ------
    BadInput
        If the rebuild was never planned.
    """
    words = wanted.words
    state, plan = wanted.state(), wanted.plan()
    needed = to_have(plan, state)
    columns = (
        TICK,
        Column(words.fastener, width=3),
        Column(words.order_wanted, Kind.NUMBER),
        Column(words.order_here, Kind.NUMBER),
        Column(words.order_to_buy, Kind.NUMBER),
        Column(words.order_packs, width=1.2),
        Column(words.order_ordered, Kind.WRITE, 1.4),
    )
    rows = tuple(
        Row(
            (Tick.OPEN, each.spec, str(each.wanted), str(each.here), str(each.to_buy),
             packs_text(each.to_buy) if _in_packs(each.spec) else "", ""),
            (_for(words, state, each.joints),),
        )
        for each in needed
        if each.to_buy
    )  # fmt: skip
    notes = () if rows else (words.order_none,)
    supplies = tuple(
        Row(
            (Tick.OPEN, each.what, ""),
            (_for(words, state, each.joints),),
        )
        for each in used_up(plan, state)
    )
    sections = [Section(words.order_fasteners, columns, rows, notes)]
    if supplies:
        few = (TICK, Column(words.what, width=3), Column(words.order_ordered, Kind.WRITE, 1.4))
        sections.append(Section(words.order_supplies, few, supplies))
    return printed(
        wanted, state, words.order_title, tuple(sections), lead=(words.order_lead,), signatures=()
    )


_NAMED = 4
"""Of many joints, how many are named in one line."""


def _for(words: Words, state: State, joints: Sequence[JointId]) -> str:
    names = ", ".join(state.name_of(joint_ref(each)) for each in joints[:_NAMED])
    more = len(joints) - _NAMED
    all_named = f"{names} {words.and_more.format(n=more)}" if more > 0 else names
    return words.order_for.format(joints=all_named)


def _in_packs(spec: str) -> bool:
    """Whether it is sold in packs: what has a thread, pins and washers; no gasket and no belt."""
    try:
        kind = parse(spec).kind
    except InputError:
        return False
    return kind.form in _PACKED or "washer" in kind.value


def packs_text(pieces: int) -> str:
    """Say in which packs so many pieces are bought: the fewest left over, then the fewest packs.

    Examples
    --------
    >>> packs_text(7), packs_text(34), packs_text(60), packs_text(205), packs_text(0)
    ('10', '25 + 10', '50 + 10', '2 × 100 + 10', '')
    """
    fewest: list[tuple[int, ...] | None] = [()]
    while len(fewest) <= pieces or fewest[-1] is None:
        total = len(fewest)
        behind = (
            (size, *before)
            for size in PACKS
            if size <= total and (before := fewest[total - size]) is not None
        )
        fewest.append(min(behind, key=len, default=None))
    chosen = Counter(fewest[-1] or ())
    return " + ".join(
        f"{count} × {size}" if count > 1 else str(size)
        for size, count in sorted(chosen.items(), reverse=True)
    )
