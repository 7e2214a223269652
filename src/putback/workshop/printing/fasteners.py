"""Lists of fasteners: how tight each joint is made, whether all are there, which to order."""

from collections import Counter
from collections.abc import Sequence
from itertools import groupby

from putback.errors import InputError
from putback.logbook.state import State
from putback.paper.sheets import Column, Kind, Row, Section, Tick
from putback.paper.words import ENGLISH as WORDS
from putback.planning.rebuild import to_have, used_up
from putback.planning.rebuild.torque import torque_words
from putback.units.show import torque_text
from putback.vehicle.fastener import parse
from putback.vehicle.fastener_kind import Form
from putback.vehicle.ids import JointId, joint_ref
from putback.vehicle.joint import FinalWhen, Joint
from putback.workshop.printing.sheets import TICK, printed, upper_first
from putback.workshop.printing.wanted import Wanted
from putback.workshop.things.hardware_told import tell_hardware

_PACKED = frozenset({Form.STEM, Form.RING, Form.PIN})
PACKS = (100, 50, 25, 10)
"""Pieces in a pack, as they are usually sold (common practice) [pieces]."""


def torque_sheet(wanted: Wanted) -> bytes:
    """Print every joint that has a figure or is critical, zone by zone."""
    state = wanted.state()
    joints = [
        each
        for each in state.vehicle.joints.values()
        if each.critical or each.tightening.torque_nm is not None or each.tightening.stages
    ]
    joints.sort(key=lambda each: (_zone(state, each).casefold(), each.name.casefold()))
    columns = (
        TICK,
        Column(WORDS.torque_joint, width=3),
        Column(WORDS.torque_figure, width=2.4),
        Column(WORDS.torque_applied, Kind.WRITE, 1.1),
        Column(WORDS.who_when, Kind.WRITE, 1.1),
        Column(WORDS.torque_second, Kind.WRITE, 1.1),
    )
    sections = tuple(
        Section(zone, columns, tuple(_torque(state, each) for each in these))
        for zone, these in groupby(joints, key=lambda each: _zone(state, each))
    )
    lead = WORDS.torque_lead if joints else WORDS.torque_none
    return printed(
        wanted,
        state,
        WORDS.torque_title,
        sections,
        lead=(lead,),
        signatures=(WORDS.torque_wrench, WORDS.done_by),
    )


def _zone(state: State, joint: Joint) -> str:
    return upper_first(state.name_of(f"zone:{joint.zone}")) if joint.zone else WORDS.no_zone


def _torque(state: State, joint: Joint) -> Row:
    tightening, now = joint.tightening, state.joints.get(joint.id)
    is_final = now is not None and now.made is not None and now.stage in ("tightened", "final")
    details = [
        WORDS.torque_sequence.format(sequence=tightening.sequence) if tightening.sequence else "",
        WORDS.torque_later.format(when=joint.final_when)
        if joint.final_when is not FinalWhen.AS_FITTED
        else "",
        WORDS.torque_again.format(when=tightening.retorque_after)
        if tightening.retorque_after
        else "",
    ]
    applied = now.torque_nm if now and now.made is not None else None
    by = now.made.who if is_final and now and now.made else None
    second = next((each for each in now.checks if each.right), None) if now else None
    return Row(
        cells=(
            Tick.DONE if is_final else Tick.OPEN,
            joint.name,
            torque_words(joint) or WORDS.torque_no_figure,
            torque_text(applied, both=False) if applied is not None else "",
            state.name_of(f"person:{by}") if by else "",
            state.name_of(f"person:{second.said.who}") if second else "",
        ),
        details=tuple(map(upper_first, filter(None, details))),
        is_critical=joint.critical,
    )


def hardware(wanted: Wanted) -> bytes:
    """Print the hardware check: what is short or over, each bag, each fastener."""
    state = wanted.state()
    told = tell_hardware(state)
    number = Kind.NUMBER
    short = Section(
        WORDS.hardware_short,
        (TICK, Column(WORDS.what, width=3), Column(WORDS.fastener, width=2),
         Column("", width=1.2), Column(WORDS.where, width=2)),
        tuple(
            Row((Tick.OPEN, each.name, each.spec,
                 WORDS.hardware_short_n.format(count=each.short) if each.short
                 else WORDS.hardware_over_n.format(count=each.over),
                 " ".join(filter(None, (each.where, each.doubt)))),
                is_critical=each.critical)
            for each in told.discrepancies
        ),
        () if told.discrepancies else (WORDS.hardware_none,),
    )  # fmt: skip
    fits = Section(
        WORDS.hardware_fits,
        (TICK, Column(WORDS.what, width=1)),
        tuple(Row((Tick.OPEN, upper_first(each))) for each in told.fits),
    )
    bags = Section(
        WORDS.hardware_bags,
        (Column(WORDS.hardware_counted, Kind.TICK), Column(WORDS.tag, Kind.CODE),
         Column(WORDS.contents, width=3), Column(WORDS.where, width=1.6)),
        tuple(
            Row((Tick.DONE if each.is_counted else Tick.OPEN, each.tag,
                 each.name or upper_first(each.container), each.where), each.contents)
            for each in told.bags
        ),
    )  # fmt: skip
    specs = Section(
        WORDS.hardware_specs,
        (Column(WORDS.fastener, width=1), Column(WORDS.takes, number), Column(WORDS.is_on, number),
         Column(WORDS.laid_up, number), Column(WORDS.new, number), Column(WORDS.short, number),
         Column(WORDS.over, number)),
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
        WORDS.hardware_title,
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
    state, plan = wanted.state(), wanted.plan()
    needed = to_have(plan, state)
    columns = (
        TICK,
        Column(WORDS.fastener, width=3),
        Column(WORDS.order_wanted, Kind.NUMBER),
        Column(WORDS.order_here, Kind.NUMBER),
        Column(WORDS.order_to_buy, Kind.NUMBER),
        Column(WORDS.order_packs, width=1.2),
        Column(WORDS.order_ordered, Kind.WRITE, 1.4),
    )
    rows = tuple(
        Row(
            (Tick.OPEN, each.spec, str(each.wanted), str(each.here), str(each.to_buy),
             packs_text(each.to_buy) if _in_packs(each.spec) else "", ""),
            (_for(state, each.joints),),
        )
        for each in needed
        if each.to_buy
    )  # fmt: skip
    notes = () if rows else (WORDS.order_none,)
    supplies = tuple(
        Row(
            (Tick.OPEN, each.what, ""),
            (_for(state, each.joints),),
        )
        for each in used_up(plan, state)
    )
    sections = [Section(WORDS.order_fasteners, columns, rows, notes)]
    if supplies:
        few = (TICK, Column(WORDS.what, width=3), Column(WORDS.order_ordered, Kind.WRITE, 1.4))
        sections.append(Section(WORDS.order_supplies, few, supplies))
    return printed(
        wanted, state, WORDS.order_title, tuple(sections), lead=(WORDS.order_lead,), signatures=()
    )


_NAMED = 4
"""Of many joints, how many are named in one line."""


def _for(state: State, joints: Sequence[JointId]) -> str:
    names = ", ".join(state.name_of(joint_ref(each)) for each in joints[:_NAMED])
    more = len(joints) - _NAMED
    all_named = f"{names} {WORDS.and_more.format(count=more)}" if more > 0 else names
    return WORDS.order_for.format(joints=all_named)


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
