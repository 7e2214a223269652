"""Tiny vehicles with every sort of fact a strip obeys, for judging plans by trying everything.

They are small on purpose (a handful of parts) and drawn without care: many goals are impossible,
which the planner must find out, and say.
"""

from dataclasses import dataclass, fields

from hypothesis import strategies as st

from putback.logbook.common import Said
from putback.logbook.state import JobState, JointState, PartState, StandingState, State
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, HarderAfter, Obstruction
from putback.vehicle.fastener import parse
from putback.vehicle.goal import Goal
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Fixing, Joint, Piece
from putback.vehicle.minutes import Minutes
from putback.vehicle.part import Part
from putback.vehicle.run import Passage, Run, RunEnd
from putback.vehicle.standing import Standing, Support, TemporarySupport
from putback.vehicle.vehicle import About, Vehicle

ZONES = ("front", "rear")
TOOLS = ("", "spanner", "bar")
CREWS = (1, 1, 1, 2)
HOSE_CLIPS = (Fixing("a", 2, (Piece(parse("hose clip 20 mm")),)),)
SAID = Said("e", "somebody", ((0, 0, 0, "e"),))


@dataclass(frozen=True)
class Case:
    """A vehicle, what is done already, and where it is to get."""

    vehicle: Vehicle
    state: State
    goal: Goal

    def _repr_pretty_(self, printer, cycle: bool) -> None:
        """Show Hypothesis' readers what matters, one record a line."""
        v, s = self.vehicle, self.state
        tables = ("joints", "parts", "jobs", "obstructions", "befores", "harder_afters")
        tables += ("assemblies", "standings", "temporary_supports", "runs")
        lines = [short(record) for table in tables for record in getattr(v, table).values()]
        lines += [f"undone {sorted(s.undone_joints)}, off {sorted(s.parts_off)}"]
        lines += [f"wholes {[(p, each.whole) for p, each in s.parts.items() if each.whole]}"]
        lines += [f"cracked {[j for j, each in s.joints.items() if each.cracked]}"]
        lines += [f"done {sorted(s.jobs_done)}, stands {s.standing.standing}", short(self.goal)]
        printer.text("\n".join(lines))


def short(record) -> str:
    """A record's fields that are not as usual."""
    usual = {f.name: f.default for f in fields(record)}
    said = {name: getattr(record, name) for name in usual}
    told = [f"{name}={value}" for name, value in said.items() if value not in (usual[name], {})]
    return f"{type(record).__name__} {', '.join(told)}"


def table(records):
    return {record.id: record for record in records}


def minutes(draw) -> Minutes:
    likely = draw(st.sampled_from((0, 1, 2, 3, 5, 8)))
    return Minutes(0, likely, likely)


@st.composite
def cases(draw, standings: bool = True, jobs: int = 2, largest: int = 4) -> Case:
    """Draw a tiny vehicle, a state and a goal."""
    parts = [f"p{n}" for n in range(draw(st.integers(2, largest)) + 1)]
    stands = ["A", "B"] if standings and draw(st.booleans()) else []

    def some(things, most=1):
        return tuple(draw(st.lists(st.sampled_from(things), max_size=most, unique=True)))

    def names(things):
        return some(things) if things and draw(st.integers(0, 3)) == 0 else ()

    pairs = st.lists(st.sampled_from(parts), min_size=2, max_size=3, unique=True)
    ends = draw(st.lists(pairs, min_size=1, max_size=largest + 1))
    joints = [
        Joint(
            f"j{n}",
            f"j{n}",
            tuple(end),
            fixings=draw(st.sampled_from(((), (), HOSE_CLIPS))),
            minutes=minutes(draw),
            zone=draw(st.sampled_from((None, *ZONES))),
            tool=draw(st.sampled_from(TOOLS)),
            crew=draw(st.sampled_from(CREWS)),
            standings=names(stands),
            crack_in=(names(stands) or (None,))[0],
        )
        for n, end in enumerate(ends)
    ]
    described = [
        Part(
            p,
            p,
            draw(st.sampled_from(ZONES)),
            minutes=minutes(draw),
            crew=draw(st.sampled_from(CREWS)),
            standings=names(stands),
        )
        for p in parts
    ]
    work = [
        Job(
            f"t{n}",
            f"t{n}",
            draw(st.sampled_from((JobKind.DRAIN, JobKind.CRACK))),
            minutes=minutes(draw),
            zone=draw(st.sampled_from((None, *ZONES))),
            crew=draw(st.sampled_from(CREWS)),
            standings=names(stands),
            joints=some([j.id for j in joints]),
            same_sitting_as="t0" if n and draw(st.booleans()) else None,
        )
        for n in range(draw(st.integers(0, jobs)))
    ]
    refs = [f"part:{p}" for p in parts[1:]] + [f"joint:{j.id}" for j in joints]
    refs += [f"job:{t.id}" for t in work]
    one, several = (
        st.sampled_from(refs),
        st.lists(st.sampled_from(parts[1:]), min_size=1, max_size=2),
    )
    obstructions = [
        Obstruction(f"o{n}", tuple(dict.fromkeys(draw(several))), draw(st.sampled_from(refs)))
        for n in range(draw(st.integers(0, 3)))
    ]
    befores = [Before(f"b{n}", draw(one), draw(one), "so") for n in range(draw(st.integers(0, 2)))]
    factors = st.sampled_from((None, 0.5, 2.0, 3.0))
    harder = [
        HarderAfter(f"h{n}", draw(one), draw(one), draw(factors))
        for n in range(draw(st.integers(0, 2)))
    ]
    wholes = [
        Assembly(
            f"w{n}",
            f"w{n}",
            tuple(draw(st.permutations(parts[1:]))[:2]),
            minutes(draw),
            draw(st.sampled_from(CREWS)),
        )
        for n in range(draw(st.integers(0, 1 if len(parts) > 2 else 0)))
    ]
    supports = [
        TemporarySupport(f"x{n}", "jack", draw(st.sampled_from(parts)), draw(one), draw(one))
        for n in range(draw(st.integers(0, 1)))
    ]
    ways = [
        Standing(
            s,
            s,
            supports=tuple(
                Support(
                    f"{s}{n}",
                    "stand",
                    draw(st.sampled_from(parts)),
                    (0, 0),
                    hides=names(parts),
                    beside=draw(st.integers(0, 3)) == 0,
                )
                for n in range(draw(st.integers(0, 1)))
            ),
            change_minutes={other: 4.0 for other in stands if other != s},
            needs_off=names(parts[1:]),
            wrong=draw(st.integers(0, 9)) == 0,
        )
        for s in stands
    ]
    runs = [
        Run(
            part,
            ends=tuple(
                RunEnd(j.id, passes=draw(st.integers(0, 3)) > 0) for j in joints if part in j.parts
            ),
            passages=tuple(Passage("a hole", p) for p in some(parts, 2)),
        )
        for part in (some(parts[1:]) if draw(st.integers(0, 2)) == 0 else ())
    ]
    vehicle = Vehicle(
        About("tiny", "tiny"),
        runs={run.part: run for run in runs},
        parts=table(described),
        joints=table(joints),
        jobs=table(work),
        obstructions=table(o for o in obstructions if not o.of.startswith("job:")),
        befores=table(b for b in befores if b.first != b.then),
        harder_afters=table(h for h in harder if h.job != h.after),
        assemblies=table(wholes),
        standings=table(ways),
        temporary_supports=table(supports),
    )
    undone = some([j.id for j in joints]) if draw(st.integers(0, 4)) == 0 else ()
    gone = some(parts[1:]) if draw(st.integers(0, 4)) == 0 else ()
    out = {w.id: w.parts for w in wholes if draw(st.integers(0, 4)) == 0}
    with_whole = {p: whole for whole, ps in out.items() for p in ps}
    cracked = some([j.id for j in joints]) if draw(st.integers(0, 4)) == 0 else ()
    state = State(
        logbook="tiny",
        vehicle=vehicle,
        joints={
            **{j: JointState(j, cracked=SAID) for j in cracked},
            **{j: JointState(j, of=1, out=1, undone=SAID) for j in undone},
        },
        parts={p: PartState(p, off=SAID, whole=with_whole.get(p)) for p in (*gone, *with_whole)},
        jobs={t.id: JobState(t.id, done=SAID) for t in work if draw(st.integers(0, 5)) == 0},
        standing=StandingState(draw(st.sampled_from((None, *stands)))),
    )
    off = draw(st.lists(st.sampled_from(parts[1:]), min_size=1, max_size=2, unique=True))
    goal = Goal(
        "g",
        "bare",
        parts[0],
        off=tuple(off),
        on=tuple(p for p in some(parts[1:]) if p not in off) if draw(st.booleans()) else (),
        off_rest=draw(st.integers(0, 2)) == 0,
        jobs=tuple(t.id for t in work[:1] if draw(st.booleans())),
    )
    return Case(vehicle, state, goal)
