"""A small hand-made vehicle, states of it, and plans written as lines of text.

A line reads ``undo joint:bell @ wheels``: the action, the thing and the standing. `written` makes
a plan of such lines and works out what it costs in the plainest way there is, one step after the
other, so that a plan with a fault planted in it is still costed right.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from putback.logbook.common import Said
from putback.logbook.state import Gone, JobState, JointState, PartState, StandingState, State
from putback.planning.plan import Action, Plan, PlanSettings, Step
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, HarderAfter, Obstruction, Phase
from putback.vehicle.goal import Goal
from putback.vehicle.ids import split_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.minutes import Minutes
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support, TemporarySupport, Zone
from putback.vehicle.vehicle import About, Vehicle


def likely(minutes: float) -> Minutes:
    """An estimate that knows no doubt [min]."""
    return Minutes(minutes, minutes, minutes)


def table(*records):
    """Records by their identity."""
    return {record.id: record for record in records}


def buggy() -> Vehicle:
    """A buggy: a frame on a wheel, an engine unit under a hood, a tank and a pipe.

    The hood is in the way of the engine's mounting; the gearbox, on the bench, in that of the
    clutch; the tank is reached with hood or cap off. The wheel nuts are cracked on the wheels.
    On the stands the pipe is hidden; on the beam one stands only after the stands.
    """
    return Vehicle(
        About("buggy", "buggy"),
        zones=table(Zone("bay", "bay"), Zone("under", "under it")),
        parts=table(
            Part("frame", "frame", "under", kind=PartKind.STRUCTURE, mass_kg=80.0),
            Part("wheel", "wheel", "under", kind=PartKind.WHEEL, minutes=likely(2), mass_kg=10.0),
            Part("cap", "hub cap", "under", minutes=likely(1)),
            Part("hood", "hood", "bay", kind=PartKind.PANEL, minutes=likely(3), mass_kg=6.0),
            Part("engine", "engine", "bay", kind=PartKind.MACHINE, mass_kg=90.0),
            Part("clutch", "clutch", "bay", mass_kg=5.0),
            Part("gearbox", "gearbox", "bay", kind=PartKind.MACHINE, mass_kg=30.0),
            Part("tank", "tank", "under", minutes=likely(4), standings=("stands",)),
            Part("pipe", "pipe", "under", kind=PartKind.PIPE, minutes=likely(1)),
        ),
        joints=table(
            Joint(
                "nuts",
                "wheel nuts",
                ("wheel", "frame"),
                minutes=likely(10),
                zone="under",
                tool="brace",
                standings=("stands",),
                crack_in="wheels",
            ),
            Joint("lug", "cap lugs", ("cap", "wheel"), minutes=likely(2), zone="under"),
            Joint("hinge", "hood hinge", ("hood", "frame"), minutes=likely(6), zone="bay"),
            Joint(
                "mount",
                "engine mounting",
                ("engine", "frame"),
                minutes=likely(20),
                zone="bay",
                tool="socket",
            ),
            Joint("bell", "bell housing", ("gearbox", "engine"), minutes=likely(15)),
            Joint("plate", "clutch plate", ("clutch", "engine"), minutes=likely(5)),
            Joint(
                "strap",
                "tank strap",
                ("tank", "frame"),
                minutes=likely(8),
                zone="under",
                tool="socket",
            ),
            Joint("union", "pipe union", ("pipe", "frame"), minutes=likely(4), zone="under"),
        ),
        standings=table(
            Standing(
                "wheels",
                "on its wheel",
                (Support("w1", "wheel", "wheel", (0.0, 0.0)),),
                {"stands": 30.0, "trolley": 10.0},
            ),
            Standing(
                "stands",
                "on stands",
                (Support("s1", "stand", "frame", (0.0, 0.0), hides=("pipe",)),),
                {"wheels": 30.0, "beam": 12.0},
            ),
            Standing(
                "beam",
                "on the beam",
                (Support("b1", "beam", "frame", (0.0, 0.0)),),
                {"stands": 12.0},
            ),
            Standing(
                "trolley",
                "hood on its trolley",
                (
                    Support("t1", "wheel", "wheel", (0.0, 0.0)),
                    Support("t2", "trolley", "hood", (0.0, 0.0), beside=True),
                ),
                {"wheels": 10.0},
                needs_off=("hood",),
            ),
            Standing("lesson", "on one brick", (), {"wheels": 1.0}, wrong=True),
        ),
        temporary_supports=table(
            TemporarySupport("hoist", "hoist", "engine", "joint:mount", "part:engine")
        ),
        jobs=table(
            Job("survey", "survey", JobKind.SURVEY, minutes=likely(30)),
            Job(
                "drain",
                "drain the tank",
                JobKind.DRAIN,
                minutes=likely(12),
                zone="under",
                standings=("stands",),
                tool="key",
            ),
            Job("sketch", "sketch the bay", JobKind.SURVEY, minutes=likely(7)),
            Job("listen", "listen to it", JobKind.SURVEY, same_sitting_as="sketch"),
            Job("fill", "fill the tank", JobKind.FILL, phase=Phase.REBUILD),
        ),
        obstructions=table(
            Obstruction("o1", ("hood",), "joint:mount", "no room above"),
            Obstruction("o2", ("gearbox",), "joint:plate", "covers it"),
            Obstruction("o3", ("hood", "cap"), "joint:strap", "from above, or past the wheel"),
            Obstruction("o4", ("cap",), "part:wheel", "catches the arch"),
        ),
        befores=table(
            Before("b1", "job:drain", "part:tank", "empty"),
            Before("b2", "job:survey", "joint:hinge", "record first"),
            Before("b3", "job:fill", "job:drain", "only on the way back", phase=Phase.REBUILD),
        ),
        harder_afters=table(
            HarderAfter("h1", "joint:union", "part:wheel", 2.5, "nothing to lean on"),
            HarderAfter("h2", "joint:lug", "part:hood", None, "it jams"),
        ),
        assemblies=table(
            Assembly("unit", "engine unit", ("engine", "clutch", "gearbox"), likely(25))
        ),
        goals=table(BARE),
    )


BARE = Goal(
    "bare",
    "bare frame",
    "frame",
    off=("wheel", "engine", "gearbox", "clutch", "tank", "pipe"),
    on=("frame",),
    jobs=("survey",),
)

GOOD_STRIP = (
    "do job:survey @ wheels",
    "crack joint:nuts @ wheels",
    "undo joint:lug @ wheels",
    "take off part:cap @ wheels",
    "undo joint:union @ wheels",
    "take off part:pipe @ wheels",
    "do job:sketch @ wheels",
    "do job:listen @ wheels",
    "undo joint:hinge @ wheels",
    "take off part:hood @ wheels",
    "do job:drain @ stands",
    "undo joint:nuts @ stands",
    "take off part:wheel @ stands",
    "undo joint:mount @ stands",
    "take off assembly:unit @ stands",
    "undo joint:bell @ stands",
    "undo joint:plate @ stands",
    "undo joint:strap @ stands",
    "take off part:tank @ stands",
)


# -- states -----------------------------------------------------------------------------------


def said(order: int = 0) -> Said:
    """Somebody said so, as the entry of that number."""
    return Said(f"e{order}", "ann", ((order, order, 0, f"e{order}"),))


def state_of(
    vehicle: Vehicle,
    *,
    off: Iterable[str] | Mapping[str, str | None] = (),
    undone: Iterable[str] = (),
    done: Iterable[str] = (),
    cracked: Iterable[str] = (),
    gone: Iterable[str] = (),
    standing: str | None = None,
    order: Iterable[str] = (),
    **other: object,
) -> State:
    """A state by hand: parts off (with which whole), joints undone, jobs done.

    ``order`` lists references in the order in which they came off.
    """
    at = {ref: place for place, ref in enumerate(order)}
    wholes = dict(off) if isinstance(off, Mapping) else dict.fromkeys(off)
    parts = {
        part: PartState(
            part,
            off=said(at.get(f"part:{part}", 0)),
            whole=whole,
            gone=Gone.LOST if part in set(gone) else None,
        )
        for part, whole in wholes.items()
    }
    joints = {joint: JointState(joint, cracked=said()) for joint in cracked}
    for joint in undone:
        record = vehicle.joints.get(joint)
        count = record.fixing_count if record else 1
        when = said(at.get(f"joint:{joint}", 0))
        joints[joint] = JointState(joint, of=count, out=count, undone=when)
    jobs = {job: JobState(job, done=said()) for job in done}
    return State(
        "log",
        vehicle,
        parts=parts,
        joints=joints,
        jobs=jobs,
        standing=StandingState(standing, said() if standing else None),
        **other,
    )


USUAL = PlanSettings()

# -- plans ------------------------------------------------------------------------------------


def step_of(line: str) -> Step:
    """A step from its line, without what it costs."""
    deed, _, standing = line.partition(" @ ")
    action, _, what = deed.rpartition(" ")
    return Step(Action(action), what, standing if standing != "-" else None)


def written(
    vehicle: Vehicle,
    lines: Iterable[str],
    *,
    goal: str | None = None,
    state: State | None = None,
    settings: PlanSettings = USUAL,
    start: str | None = None,
) -> Plan:
    """A strip from its lines, each step with what it costs; whatever is undone is held."""
    steps, done, at, zone, tool, helped = [], set[str](), start, None, "", False
    if state is not None:
        done |= {f"part:{each}" for each in state.parts_off}
        done |= {f"joint:{each}" for each in state.undone_joints}
        done |= {f"job:{each}" for each in state.jobs_done}
        done |= {f"crack {each}" for each, joint in state.joints.items() if joint.cracked}
        at = state.standing.standing or start
    for line in lines:
        step = step_of(line)
        where, with_what, minutes, names = _record(vehicle, step, done)
        factors = 1.0
        for fact in vehicle.harder_afters.values():
            if fact.job in (step.what, *names) and fact.after in done and fact.factor is not None:
                factors *= fact.factor
        setup = 0.0
        if at is not None and step.standing != at:
            setup += _change(vehicle, at, step.standing)
        if where and zone and where != zone:
            setup += settings.zone_minutes
        if with_what and tool and with_what != tool:
            setup += settings.tool_minutes
        crew = crew_of(vehicle, step)
        if crew > 1 and not helped:
            setup += settings.helper_minutes
        at, zone, tool, helped = step.standing, where or zone, with_what or tool, crew > 1
        steps.append(
            replace(
                step,
                zone=where,
                tool=with_what,
                crew=crew,
                minutes=minutes * factors,
                setup_minutes=setup,
                prop_first="hold it" if step.action is Action.UNDO else "",
            )
        )
        done.update(names)
    return Plan(
        goal=goal,
        steps=tuple(steps),
        work_minutes=sum(step.minutes for step in steps),
        setup_minutes=sum(step.setup_minutes for step in steps),
        start=steps[0].standing if steps and start is None and not (state and at) else start,
    )


def crew_of(vehicle: Vehicle, step: Step) -> int:
    """How many people a step wants; one for what nobody knows."""
    kind, name = split_ref(step.what)
    tables = {
        "joint": vehicle.joints,
        "job": vehicle.jobs,
        "part": vehicle.parts,
        "assembly": vehicle.assemblies,
    }
    record = tables.get(kind, {}).get(name)
    if record is None or kind not in ("part", "assembly"):
        return record.crew if record else 1
    parts = record.parts if kind == "assembly" else (name,)
    masses = (vehicle.parts[part].mass_kg or 0.0 for part in parts)
    hung = any(each.bears_on in parts for each in vehicle.temporary_supports.values())
    return max(record.crew, 2) if sum(masses) > ONE_LIFTS_KG and not hung else record.crew


ONE_LIFTS_KG = 23.0
"""What one person lifts: the load constant of the revised NIOSH lifting equation (1991)."""


def _record(vehicle: Vehicle, step: Step, done: set[str]):
    """Zone, tool, minutes of a step, and what it clears."""
    kind, name = split_ref(step.what)
    if kind == "joint" and name in vehicle.joints:
        joint = vehicle.joints[name]
        if step.action is Action.CRACK:
            return vehicle.zone_of(joint), joint.tool, joint.minutes.likely / 5, [f"crack {name}"]
        share = 4 / 5 if f"crack {name}" in done else 1
        return vehicle.zone_of(joint), joint.tool, joint.minutes.likely * share, [step.what]
    if kind == "job" and name in vehicle.jobs:
        job = vehicle.jobs[name]
        return job.zone, job.tool, job.minutes.likely, [step.what]
    if kind == "part" and name in vehicle.parts:
        part = vehicle.parts[name]
        return part.zone, "", part.minutes.likely, [step.what]
    if kind == "assembly" and name in vehicle.assemblies:
        whole = vehicle.assemblies[name]
        parts = [f"part:{part}" for part in whole.parts]
        return vehicle.parts[whole.parts[0]].zone, "", whole.minutes.likely, parts
    return None, "", 0.0, []


def _change(vehicle: Vehicle, here: str, there: str | None) -> float:
    """What a change of standing costs, over one other standing at most [min]."""
    if there not in vehicle.standings or here not in vehicle.standings:
        return 0.0
    direct = vehicle.standings[here].change_minutes
    if there in direct:
        return direct[there]
    return min(
        (
            minutes + vehicle.standings[over].change_minutes[there]
            for over, minutes in direct.items()
            if there in vehicle.standings[over].change_minutes
        ),
        default=0.0,
    )
