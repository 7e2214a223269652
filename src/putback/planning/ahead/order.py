"""Order: what must be bought, made, sent out or asked after for the jobs to come.

Equal specifications are gathered with their count, and what is in stock is taken off it. A strip
needs little: what closes the openings it makes. What it wears out is bought for the rebuild.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from putback.logbook.accounts import STOCK
from putback.logbook.entries.base import Subject
from putback.logbook.entries.judging import Choice
from putback.planning.ahead.coming import Coming, View
from putback.planning.ahead.line import Line, Sort
from putback.planning.plan import Action, Step
from putback.units.show import volume_text
from putback.vehicle.ids import FluidId, JointId, PartId, part_ref, split_ref

_COUNTED = re.compile(r"([0-9]+) × (.+)", re.DOTALL)
_PUTTING = frozenset({Action.PUT_ON, Action.MAKE, Action.PREPARE})


@dataclass(slots=True)
class _Lot:
    """Equal pieces for several steps."""

    count: int = 0
    comings: list[Coming] = field(default_factory=list)


def order(view: View) -> Iterator[Line]:
    """Give what holds the work up first: parts, then pieces, closures, and what is used up."""
    yield from _gone(view)
    yield from _parts(view)
    yield from _pieces(view)
    yield from _closures(view)
    yield from _consumables(view)
    yield from _fluids(view)


# -- parts ----------------------------------------------------------------------------------------


def _gone(view: View) -> Iterator[Line]:
    """What is not planned at all, as nothing new is in sight."""
    for each in view.plan.waiting:
        what = f"{view.name(each.what)}: find a new one, or make it"
        yield Line(Sort.ORDER, what, f"not planned: {each.why}", (each.what,))


def _parts(view: View) -> Iterator[Line]:
    """Parts that are not here, are to be replaced, or want work elsewhere."""
    seen: set[PartId] = set()
    for coming in view.near(Sort.ORDER):
        if coming.step.action is Action.MAKE and coming.step.waits_for:
            what = f"ask after {view.name(coming.step.what)}"
            yield view.line(Sort.ORDER, what, coming.step.waits_for, [coming])
        for part in view.parts_moved(coming.step):
            if part not in seen:
                seen.add(part)
                yield from _part(view, part, coming)


def _part(view: View, part: PartId, coming: Coming) -> Iterator[Line]:
    described, seen = view.vehicle.parts.get(part), view.state.parts.get(part)
    name = view.name(part_ref(part))
    common = seen.common if seen is not None else None
    comes = "goes back on" if coming.step.action in _PUTTING else "comes off"
    if common is not None:
        for away in common.ordered:
            due = f", due {away.due}" if away.due else ", no day promised"
            whom = f" from {away.whither}" if away.whither else ""
            yield view.line(
                Sort.ORDER, f"ask after {name}", f"on order{whom}{due}; it {comes}", [coming]
            )
        if (out := common.sent_out) is not None:
            due = f", due {out.due}" if out.due else ", no day promised"
            yield view.line(
                Sort.ORDER,
                f"ask after {name}",
                f"at {out.whither or 'work elsewhere'}{due}; it {comes}",
                [coming],
            )
        here = bool(common.ordered or common.arrived or (seen is not None and seen.renewed))
        if common.choice in {Choice.REPLACE, Choice.MAKE}:
            verb = "order a new" if common.choice is Choice.REPLACE else "have made a new"
            if not here:
                why = f"decided: {common.choice}"
                yield view.line(Sort.ORDER, f"{verb} {name}", why, [coming])
            return
        if common.sent_out or common.came_back or common.choice is Choice.REUSE:
            return
    if described is not None and described.outside_work:
        is_off = seen is not None and seen.is_off
        verb = "send" if is_off else "arrange for"
        why = f"it is to go to the {described.outside_work}, and it {comes}"
        yield view.line(Sort.ORDER, f"{verb} {name}: {described.outside_work}", why, [coming])


# -- pieces ---------------------------------------------------------------------------------------


def _pieces(view: View) -> Iterator[Line]:
    """Single-use pieces, gathered by specification; what is in stock is taken off."""
    lots: dict[str, _Lot] = {}
    for coming in view.near(Sort.ORDER):
        for text in coming.step.renew:
            counted = _COUNTED.fullmatch(text)
            lot = lots.setdefault(counted[2] if counted else text, _Lot())
            lot.count += int(counted[1]) if counted else 1
            lot.comings.append(coming)
    for spec, lot in lots.items():
        stock = view.state.balances.get((STOCK, Subject("stock"), spec), 0)
        if lot.count > stock:
            names = _names(view, lot.comings)
            why = f"used once: for {names}"
            if stock:
                why += f" ({lot.count} wanted, {stock} in stock)"
            yield view.line(Sort.ORDER, f"{lot.count - stock} × {spec}", why, lot.comings)


def _closures(view: View) -> Iterator[Line]:
    """What closes the ends that the strip opens, gathered by closure and size."""
    opened: dict[JointId, Coming] = {}
    for coming in view.near(Sort.ORDER):
        if coming.step.action is Action.UNDO:
            for joint in view.joints_of(coming.step):
                opened.setdefault(joint, coming)
    lots: dict[str, _Lot] = {}
    for opening in view.vehicle.openings.values():
        by = [opened[joint] for joint in opening.joints if joint in opened]
        seen = view.state.openings.get(opening.id)
        closed = (opening.ends if seen.all_closed else seen.closed) if seen else 0
        if by and opening.needs_closing and opening.closed_with and closed < opening.ends:
            size = f" ({opening.thread})" if opening.thread else ""
            lot = lots.setdefault(f"{opening.closed_with}{size}", _Lot())
            lot.count += opening.ends - closed
            lot.comings.append(min(by, key=lambda each: each.at))
    for what, lot in lots.items():
        why = f"to close what opens with {_names(view, lot.comings)}"
        yield view.line(Sort.ORDER, f"{lot.count} × {what}", why, lot.comings)


# -- what is used up ------------------------------------------------------------------------------


def _consumables(view: View) -> Iterator[Line]:
    """Sealants, greases and the like of joints to be made, gathered by what they are."""
    lots: dict[str, _Lot] = {}
    for coming in view.near(Sort.ORDER):
        if coming.step.action is not Action.MAKE:
            continue
        for joint in view.joints_of(coming.step):
            for each in view.vehicle.joints[joint].used_up:
                if not each.what.startswith("nothing"):
                    lots.setdefault(each.what, _Lot()).comings.append(coming)
    for what, lot in lots.items():
        yield view.line(Sort.ORDER, what, f"needed for {_names(view, lot.comings)}", lot.comings)


def _fluids(view: View) -> Iterator[Line]:
    for coming in view.near(Sort.ORDER):
        fluid = view.vehicle.fluids.get(_filled(view, coming.step))
        if fluid is not None:
            much = f", {volume_text(fluid.volume_m3)}" if fluid.volume_m3 else ""
            why = "to be filled"
            if fluid.never_mix:
                why += f"; never mixed with {' or '.join(fluid.never_mix)}"
            yield view.line(Sort.ORDER, f"{fluid.name}{much}", why, [coming])


def _filled(view: View, step: Step) -> FluidId:
    kind, identity = split_ref(step.what)
    if step.action is Action.FILL and kind == "fluid":
        return FluidId(identity)
    jobs = {f"job:{job.id}": job for job in view.vehicle.jobs.values() if job.kind == "fill"}
    job = jobs.get(step.what)
    return job.fluid if job is not None and job.fluid is not None else FluidId("")


def _names(view: View, comings: list[Coming]) -> str:
    names = list(dict.fromkeys(view.name(each.step.what) for each in comings))
    more = f" and {len(names) - 2} more" if len(names) > 2 else ""
    return f"{', '.join(names[:2])}{more}"
