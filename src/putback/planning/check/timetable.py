"""A timetable held against its own blocks: who, when, after what, with which things.

Works from the records alone, hour by hour and moment by moment; whether the blocks say all that
the rules of a plan ask for is seen by replaying its steps in the order of the timetable, and
whether what is worked on lies on a bench then by what is off and on before and after it.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import combinations, pairwise, product

from putback.logbook.state import State
from putback.planning.plan import Action, Plan
from putback.planning.planned_days import Block, Booking, Person, Timetable
from putback.vehicle.ids import Ref
from putback.vehicle.vehicle import Vehicle


def check_timetable(table: Timetable) -> tuple[str, ...]:
    """Say in words all that is wrong with a timetable; nothing if all is right."""
    return tuple(_faults(table))


def check_blocks(vehicle: Vehicle, state: State, plan: Plan, table: Timetable) -> tuple[str, ...]:
    """Say in words which blocks of a timetable leave away what the vehicle asks for.

    A bench, or one too much; what lies there from one block to another, or does not;
    something that is out or on order, and worked on or put on; and a second person.
    """
    return (
        *_benches(vehicle, state, plan, table),
        *_left_lying(vehicle, state, plan, table),
        *_waits(vehicle, state, plan, table),
        *_left_on_jacks(vehicle, plan, table),
        *_left_in_hand(vehicle, state, plan, table),
        *_signed_by_oneself(vehicle, plan, table),
    )


def steps_in_order(table: Timetable) -> tuple[int, ...]:
    """The steps of the plan in the order in which the timetable has them."""
    return tuple(
        step
        for number in sorted(range(len(table.blocks)), key=lambda n: (_first(table, n), n))
        for step in table.blocks[number].steps
    )


def _first(table: Timetable, block: int) -> datetime:
    return min(each.begins for each in table.bookings if each.block == block)


def _faults(table: Timetable) -> Iterator[str]:
    people = {each.name: each for each in table.people}
    of: dict[int, list[Booking]] = {n: [] for n in range(len(table.blocks))}
    for each in table.bookings:
        of[each.block].append(each)
        if each.begins < table.begin:
            yield f"block {each.block} begins before the beginning"
        if each.ends > table.finish:
            yield f"block {each.block} ends after the end"
        yield from _hours(each, table.blocks[each.block], people)
    for number, block in enumerate(table.blocks):
        yield from _whole(number, block, of[number])
        yield from _left_hanging(number, block, of[number], table.people)
        for first in block.before:
            if max(b.ends for b in of[first]) > min(b.begins for b in of[number]):
                yield f"block {number} begins before block {first} ends"
        for arrival in block.waits:
            there = table.arrivals[arrival].expected
            if any(booking.begins.date() <= there for booking in of[number]):
                yield f"block {number} begins before what it waits for is there"
        yield from _by_somebody(number, block, of, table.people)
        if block.not_before and any(b.begins.date() < block.not_before for b in of[number]):
            yield f"block {number} begins although it is put off"
    yield from _at_once(table)


def _whole(number: int, block: Block, bookings: list[Booking]) -> Iterator[str]:
    """Whether all of a block is booked, with skill and crew."""
    minutes = sum((b.ends - b.begins).total_seconds() / 60 for b in bookings)
    if not bookings or not block.minutes - 1e-3 <= minutes < block.minutes + 1:
        yield f"block {number} takes {block.minutes} minutes, not {minutes}"
    for one, other in combinations(bookings, 2):
        if one.begins < other.ends and other.begins < one.ends:
            yield f"two pieces of block {number} are done at once"


def _hours(booking: Booking, block: Block, people: dict[str, Person]) -> Iterator[str]:
    """Whether those who do it are so many, can do it and are there."""
    if booking.begins == booking.ends:
        return
    if len(set(booking.who)) != block.crew:
        yield f"block {booking.block} is done by {booking.who}"
    asked = {kind for each in people.values() for kind in each.skills} & block.kinds
    for name in booking.who:
        if not asked <= people[name].skills:
            yield f"{name} cannot do block {booking.block}"
        monday = booking.begins.replace(hour=0, minute=0) - timedelta(
            days=booking.begins.weekday()
        )
        if not any(
            monday + timedelta(minutes=opens) <= booking.begins
            and booking.ends <= monday + timedelta(minutes=closes)
            for opens, closes in people[name].hours
        ):
            yield f"{name} is not there for block {booking.block}"
        for gone in people[name].away:
            if max(gone.begins, booking.begins) < min(gone.ends, booking.ends):
                yield f"{name} is away during block {booking.block}"


def _by_somebody(
    number: int, block: Block, of: dict[int, list[Booking]], people: Sequence[Person]
) -> Iterator[str]:
    """Whether what takes no time and waited for a day is done when somebody who can is there.

    Or as soon as what comes before it ends.
    """
    if not block.crew or not (block.waits or block.not_before):
        return
    asked = {kind for each in people for kind in each.skills} & block.kinds
    for booking in of[number]:
        at = booking.begins
        goes_on = any(each.ends == at for first in block.before for each in of[first])
        if booking.ends > at or goes_on:
            continue
        midnight = at.replace(hour=0, minute=0)
        since = 24 * 60 * at.weekday() + (at - midnight) / timedelta(minutes=1)
        if not any(
            asked <= each.skills
            and any(opens <= since <= closes for opens, closes in each.hours)
            and not any(gone.begins <= at < gone.ends for gone in each.away)
            for each in people
        ):
            yield f"nobody is there who would do block {number}"


def _at_once(table: Timetable) -> Iterator[str]:
    """Whether nobody and nothing is in two places."""
    busy = [each for each in table.bookings if each.begins < each.ends]
    moments = {each.begins for each in busy}
    moments |= {each.begins for each in table.lent}
    for moment in sorted(moments):
        now = [each for each in busy if each.begins <= moment < each.ends]
        names = [name for each in now for name in each.who]
        if len(names) > len(set(names)):
            yield f"somebody does two things at once at {moment}"
        for thing, many in table.few.items():
            taken = sum(thing in table.blocks[each.block].uses for each in now)
            if thing == _BENCH:
                taken = len(_lying(table, busy, moment))
            elif thing in _HANGING:
                taken = sum(
                    thing in block.uses and _from_to(busy, number, moment)
                    for number, block in enumerate(table.blocks)
                )
            out = [e for e in table.lent if e.thing == thing and e.begins <= moment < e.ends]
            if taken and taken > many - len(out):
                yield f"more than {many - len(out)} × {thing} at {moment}"
        standings = {table.blocks[each.block].stands for each in now}
        if len(standings) > 1:
            yield f"the vehicle stands in two ways at {moment}"


_BENCH = "bench"
_HANGING = ("hoist", "in the air")


def _lying(table: Timetable, busy: list[Booking], moment: datetime) -> set[object]:
    """What lies on benches at a moment, worked on or left; a block without a number is its own."""
    moments: dict[object, list[datetime]] = {}
    for each in busy:
        block = table.blocks[each.block]
        if _BENCH in block.uses:
            what = ("alone", each.block) if block.lies is None else block.lies
            moments.setdefault(what, []).extend((each.begins, each.ends))
    return {what for what, at in moments.items() if min(at) <= moment < max(at)}


def _from_to(busy: list[Booking], block: int, moment: datetime) -> bool:
    """Whether a block is begun and not ended at a moment, worked on or left."""
    mine = [each for each in busy if each.block == block]
    return bool(mine) and min(b.begins for b in mine) <= moment < max(b.ends for b in mine)


def _left_hanging(
    number: int, block: Block, bookings: list[Booking], people: Sequence[Person]
) -> Iterator[str]:
    """Whether something is left hanging that those who can do it have the hours to finish."""
    if len(bookings) < 2 or not block.uses.intersection(_HANGING):
        return
    asked = {kind for each in people for kind in each.skills} & block.kinds
    able = [each for each in people if asked <= each.skills]
    for crew in combinations(able, block.crew):
        for spans in product(*(each.hours for each in crew)):
            if min(b for _, b in spans) - max(a for a, _ in spans) >= block.minutes + 1:
                yield f"block {number} is left hanging, though there are hours enough"
                return


_NEVER_AT_A_BENCH = ("cure", "move", "prove", "run", "weigh")


def _benches(vehicle: Vehicle, state: State, plan: Plan, table: Timetable) -> Iterator[str]:
    """Whether just the blocks take a bench of which all that is worked on is off meanwhile.

    Of each part it is looked for the last step before that moved it.
    """
    for number, block in enumerate(table.blocks):
        lies = False
        for at in block.steps:
            parts = set() if _elsewhere(vehicle, plan, at) else _touched(vehicle, plan, at)
            lies |= bool(parts) and all(_is_off(vehicle, state, plan, part, at) for part in parts)
        if lies != (_BENCH in block.uses):
            yield f"block {number} {'takes no bench' if lies else 'wants no bench'}"


def _left_lying(vehicle: Vehicle, state: State, plan: Plan, table: Timetable) -> Iterator[str]:
    """Whether what is on a bench stays there until the work on it waits for something else.

    Each block is held against the one before that last worked at a bench on a part of it.
    """
    worked: list[set[str]] = []
    for number, block in enumerate(table.blocks):
        mine: set[str] = set()
        for at in block.steps if _BENCH in block.uses else ():
            parts = set() if _elsewhere(vehicle, plan, at) else _touched(vehicle, plan, at)
            if all(_is_off(vehicle, state, plan, part, at) for part in parts):
                mine |= parts
        worked.append(mine)
        if not mine:
            continue
        where = block.lies
        others = [n for n in range(number) if worked[n] & mine]
        then = table.blocks[others[-1]].lies if others else None
        stays = bool(others) and _needs_no_more(table, number, then)
        if where is None:
            yield f"block {number} lies nowhere"
        elif stays and where != then:
            yield f"block {number} leaves the bench of block {others[-1]}"
        elif not stays and any(each.lies == where for each in table.blocks[:number]):
            yield f"block {number} lies where it cannot lie yet"


_SESSION = 120
"""Whatever takes no longer is done within one session [minutes]."""


def _left_on_jacks(vehicle: Vehicle, plan: Plan, table: Timetable) -> Iterator[str]:
    """Whether a strip leaves on a jack what the plan's own order could take down in one go.

    From where the first of several jacks that bear at once is set until the last of them is free:
    within a session always, and overnight not if all of it fits into one stretch of somebody's
    hours. What another order alone could do is not looked at.
    """
    if not any(step.action is Action.TAKE_OFF for step in plan.steps):
        return
    bears: list[tuple[int, int, str]] = []
    for jack in vehicle.temporary_supports.values():
        ends = [
            [n for n, step in enumerate(plan.steps) if _does(vehicle, step.what, ref)][:1]
            for ref in (jack.first, jack.last)
        ]
        (first, last) = ends
        if first and last and first[0] < last[0]:
            bears.append((first[0], last[0], jack.kind))
    for set_at, free_at, kind in bears:
        begin, end = set_at, free_at
        for _ in bears:  # as far as one jack after another bears meanwhile
            at_once = [(a, b) for a, b, _ in bears if a <= end and begin <= b]
            begin, end = min(a for a, _ in at_once), max(b for _, b in at_once)
        meanwhile = [b for b in table.blocks if any(begin <= n <= end for n in b.steps)]
        stands = len({plan.steps[n].standing for n in range(begin, end + 1)}) == 1
        (of_set,) = [n for n, b in enumerate(table.blocks) if set_at in b.steps]
        (of_free,) = [n for n, b in enumerate(table.blocks) if free_at in b.steps]
        set_on = min(b.begins for b in table.bookings if b.block == of_set)
        free_on = max(b.ends for b in table.bookings if b.block == of_free)
        if of_set == of_free:
            if _HANGING[1] not in table.blocks[of_set].uses:
                yield f"block {of_set} may be left with something on the {kind}"
        elif stands and (
            sum(each.minutes for each in meanwhile) <= _SESSION
            or (set_on.date() < free_on.date() and _in_one_stretch(meanwhile, table.people))
        ):
            yield f"block {of_set} leaves something on the {kind} until block {of_free}"


def _left_in_hand(vehicle: Vehicle, state: State, plan: Plan, table: Timetable) -> Iterator[str]:
    """Whether what a step of a strip lets go is left there, though the plan takes it off next.

    Not asked where a jack bears meanwhile, nobody can do both, one is put off or a session will
    not do.
    """
    block_of = {n: number for number, each in enumerate(table.blocks) for n in each.steps}
    late = {str(what) for what in state.put_off}
    for at, (step, then) in enumerate(pairwise(plan.steps)):
        touched = _touched(vehicle, plan, at)
        takes = then.action is Action.TAKE_OFF and any(
            _does(vehicle, then.what, f"part:{part}") for part in touched
        )
        held = step.action is Action.UNDO and step.prop_first and step.standing == then.standing
        one, other = block_of[at], block_of[at + 1]
        if not (held and takes) or one == other or late & {step.what, then.what}:
            continue
        kinds = table.blocks[one].kinds | table.blocks[other].kinds
        asked = {kind for each in table.people for kind in each.skills} & kinds
        one_can = any(asked <= each.skills for each in table.people)
        minutes = table.blocks[one].minutes + table.blocks[other].minutes
        if one_can and minutes <= _SESSION and not _borne(vehicle, plan, at):
            yield f"block {one} leaves in the hand what block {other} takes off"


def _borne(vehicle: Vehicle, plan: Plan, at: int) -> bool:
    """Whether some jack bears when a step of the plan, or the next, is done."""
    for jack in vehicle.temporary_supports.values():
        done = [
            [n for n, each in enumerate(plan.steps) if _does(vehicle, each.what, ref)][:1]
            for ref in (jack.first, jack.last)
        ]
        if all(done) and done[0] < done[1] and done[0][0] <= at + 1 and at <= done[1][0]:
            return True
    return False


def _signed_by_oneself(vehicle: Vehicle, plan: Plan, table: Timetable) -> Iterator[str]:
    """Whether those who look at a critical joint are all among those who tightened it.

    Not where nobody else has the hours and skills for the look, or all who have are wanted at once
    for what is looked at.
    """
    block_of = {n: number for number, each in enumerate(table.blocks) for n in each.steps}
    for at, step in enumerate(plan.steps):
        joint = step.what if step.action is Action.CHECK else ""
        if not joint.startswith("joint:"):
            continue
        tightened = [
            n
            for n, each in enumerate(plan.steps[:at])
            if (each.what == joint and each.action in (Action.TIGHTEN, Action.FINISH))
            or any(
                each.what == f"job:{job.id}"
                and job.kind.value in ("tighten", "set")
                and joint in {f"joint:{name}" for name in job.joints}
                for job in vehicle.jobs.values()
            )
        ]
        if not tightened:
            continue
        look, done = block_of[at], block_of[tightened[-1]]
        signed = {name for each in table.bookings if each.block == look for name in each.who}
        last = max(b.begins for b in table.bookings if b.block == done)
        did = {n for b in table.bookings if b.block == done and b.begins == last for n in b.who}
        if look == done or not signed or not signed <= did:
            continue
        asked = {kind for each in table.people for kind in each.skills} & table.blocks[look].kinds
        takes = table.blocks[look].minutes
        others = [
            each.name
            for each in table.people
            if asked <= each.skills and any(b - a >= takes + 1 for a, b in each.hours)
        ]
        if len(others) > len(did):
            yield f"block {look} is signed by {sorted(signed)}, who did block {done}"


def _in_one_stretch(blocks: Sequence[Block], people: Sequence[Person]) -> bool:
    """Whether so many of those who can do all these blocks have the hours for it in one go."""
    takes = sum(each.minutes for each in blocks)
    kinds = {kind for each in blocks for kind in each.kinds}
    asked = {kind for each in people for kind in each.skills} & kinds
    able = [each for each in people if asked <= each.skills]
    return any(
        min(closes for _, closes in spans) - max(opens for opens, _ in spans) >= takes + 1
        for crew in combinations(able, max(1, *(each.wants for each in blocks)))
        for spans in product(*(each.hours for each in crew))
    )


def _does(vehicle: Vehicle, what: str, ref: str) -> bool:
    """Whether a step does a thing, alone or as part of a whole."""
    wholes = [each for each in vehicle.assemblies.values() if what == f"assembly:{each.id}"]
    return what == ref or any(f"part:{p}" == ref for each in wholes for p in each.parts)


def _needs_no_more(table: Timetable, number: int, lies: int | None) -> bool:
    """Whether a block needs nothing but what the first of what lies there needed."""
    there = [n for n in range(number) if table.blocks[n].lies == lies]
    block, first = table.blocks[number], table.blocks[there[0]]
    if any(thing in block.uses | first.uses for thing in _HANGING):
        return False
    if set(block.waits) ^ set(first.waits) or block.not_before != first.not_before:
        return False
    return _all_before(table, number) - set(there) <= _all_before(table, there[0])


def _all_before(table: Timetable, number: int) -> set[int]:
    """All blocks that end before one begins, however far."""
    found: set[int] = set()
    left = list(table.blocks[number].before)
    while left:
        if (each := left.pop()) not in found:
            found.add(each)
            left += table.blocks[each].before
    return found


def _touched(vehicle: Vehicle, plan: Plan, at: int) -> set[str]:
    """The parts that a step works on."""
    step = plan.steps[at]
    table, _, name = step.what.partition(":")
    if step.action in (Action.TAKE_OFF, Action.PUT_ON):
        return set()
    if table == "part":
        return {name}
    if table == "joint":
        return {str(p) for j in vehicle.joints.values() if j.id == name for p in j.parts}
    found: set[str] = set()
    for job in vehicle.jobs.values():
        if table == "job" and job.id == name:
            found.update(job.parts)
            joints = (vehicle.joints[each] for each in job.joints if each in vehicle.joints)
            found.update(part for joint in joints for part in joint.parts)
    return found


def _elsewhere(vehicle: Vehicle, plan: Plan, at: int) -> bool:
    """Whether a step is a job that is never done at a bench."""
    return any(
        plan.steps[at].what == f"job:{job.id}"
        and (len(job.standings) > 0 or job.kind.value in _NEVER_AT_A_BENCH)
        for job in vehicle.jobs.values()
    )


def _waits(vehicle: Vehicle, state: State, plan: Plan, table: Timetable) -> Iterator[str]:
    """Whether each block waits for all that is out or on order and is needed for it."""
    gone = {
        str(name)
        for name, each in state.parts.items()
        if each.common.sent_out is not None or each.common.ordered
    }
    for number, block in enumerate(table.blocks):
        waited = {table.arrivals[each].what for each in block.waits}
        for at in block.steps:
            step, needed = plan.steps[at], _touched(vehicle, plan, at)
            lying = {each for each in needed if _is_off(vehicle, state, plan, each, at)}
            if step.what.startswith("joint:") and lying != needed:
                lying = set()
            if step.action is Action.PUT_ON:
                lying = {step.what.partition(":")[2]}
                for whole in vehicle.assemblies.values():
                    if step.what == f"assembly:{whole.id}":
                        lying = set(map(str, whole.parts))
            for part in sorted(lying & gone):
                if f"part:{part}" not in waited:
                    yield f"block {number} does not wait for {part}"


def _is_off(vehicle: Vehicle, state: State, plan: Plan, part: str, at: int) -> bool:
    """Whether a part is off when a step begins: by the last step that moved it, or the state."""
    for step in reversed(plan.steps[:at]):
        if step.action not in (Action.TAKE_OFF, Action.PUT_ON):
            continue
        moved = {step.what}
        for whole in vehicle.assemblies.values():
            if step.what == f"assembly:{whole.id}":
                moved.update(Ref(f"part:{each}") for each in whole.parts)
        if f"part:{part}" in moved:
            return step.action is Action.TAKE_OFF
    return any(each.is_off for name, each in state.parts.items() if name == part)
