"""A barrow that went to pieces, and the plan, written by hand, that puts it back.

Lines read as in `hand_made`, and may say more behind bars: ``put on part:wheel @ stands | out
dolly | waits the plater | renew 2 × split pin 2.4 mm | prop hold the wheel | hold two stands``.
"""

from collections.abc import Iterable
from dataclasses import replace

from putback.logbook.common import Away, Common
from putback.logbook.state import FitState, FluidState, OpeningState, State
from putback.planning.plan import Action, Because, Plan, PlanSettings, Reason, Stage, Step, Waiting
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, Obstruction, Phase
from putback.vehicle.fastener import parse
from putback.vehicle.goal import Goal
from putback.vehicle.ids import split_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen, Fixing, Joint, Piece
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, PartKind
from putback.vehicle.run import Run, RunEnd
from putback.vehicle.standing import Standing, Support, TemporarySupport, Zone
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import USUAL, crew_of, likely, said, state_of, step_of, table


def barrow() -> Vehicle:
    """A barrow with something of everything that a rebuild has to think of."""
    rebuild = {"phase": Phase.REBUILD}
    gaps = {"final_when": FinalWhen.GAPS_SET, "zone": "top", "minutes": likely(4)}
    pins = Fixing("a", 2, (Piece(parse("split pin 2.4 mm"), single_use=True),))
    return Vehicle(
        About("barrow", "barrow"),
        zones=table(Zone("top", "top"), Zone("under", "under it")),
        parts=table(
            Part("frame", "frame", "under", kind=PartKind.STRUCTURE, mass_kg=50.0),
            Part("axle", "axle", "under", mass_kg=20.0, minutes=likely(3)),
            Part("wheel", "wheel", "under", kind=PartKind.WHEEL, mass_kg=8.0),
            Part("engine", "engine", "top", mass_kg=60.0),
            Part("clutch", "clutch", "top", mass_kg=4.0),
            Part("gearbox", "gearbox", "top", mass_kg=20.0),
            Part("body", "body", "top", mass_kg=40.0, minutes=likely(8)),
            Part("door", "door", "top", kind=PartKind.PANEL, mass_kg=9.0),
            Part("lamp", "lamp", "top", mass_kg=1.0),
            Part("badge", "badge", "top", mass_kg=0.1),
            Part("master", "master cylinder", "top", mass_kg=1.5),
            Part("pipe", "brake pipe", "top", kind=PartKind.PIPE),
            Part("tank", "oil tank", "top", mass_kg=2.0),
            Part("hose", "oil hose", "top", kind=PartKind.HOSE),
            Part("mystery", "strange bracket", "top"),
        ),
        joints=table(
            Joint(
                "bush1",
                "front bush",
                ("axle", "frame"),
                minutes=likely(10),
                zone="under",
                tool="socket",
                standings=("stands",),
                final_when=FinalWhen.LADEN,
                critical=True,
            ),
            Joint("bush2", "rear bush", ("axle", "frame"), minutes=likely(6), zone="under"),
            Joint(
                "nuts",
                "wheel nuts",
                ("wheel", "axle"),
                minutes=likely(5),
                zone="under",
                tool="brace",
                standings=("stands",),
                final_when=FinalWhen.ON_WHEELS,
            ),
            Joint("plate", "clutch plate", ("clutch", "engine"), minutes=likely(7)),
            Joint("bell", "bell housing", ("gearbox", "engine"), minutes=likely(9)),
            Joint("em", "engine mounting", ("engine", "frame"), minutes=likely(12), zone="top"),
            Joint(
                "clamp",
                "exhaust clamp",
                ("engine", "body"),
                minutes=likely(3),
                final_when=FinalWhen.RENIPPED_HOT,
            ),
            Joint("mount", "body mounting", ("body", "frame"), (pins,), minutes=likely(14)),
            Joint("hinge1", "upper hinge", ("door", "body"), **gaps),
            Joint("hinge2", "lower hinge", ("door", "body"), **gaps),
            Joint("catch", "door catch", ("door", "body"), **gaps),
            Joint("screw", "lamp screw", ("lamp", "body"), minutes=likely(1)),
            Joint("pin", "badge pin", ("badge", "body"), minutes=likely(1)),
            Joint("flange", "master flange", ("master", "body"), minutes=likely(4)),
            Joint("flare1", "upper flare", ("pipe", "master"), minutes=likely(2), critical=True),
            Joint("flare2", "lower flare", ("pipe", "frame"), minutes=likely(2)),
            Joint("strap", "tank strap", ("tank", "frame"), minutes=likely(2)),
            Joint("turn", "hose to tank", ("hose", "tank"), minutes=likely(2)),
            Joint("push", "hose to frame", ("hose", "frame"), minutes=likely(2)),
            Joint(
                "propped",
                "propped link",
                ("axle", "frame"),
                minutes=likely(2),
                final_when=FinalWhen.LADEN,
                by_position=True,
            ),
        ),
        runs={
            "pipe": Run("pipe", (RunEnd("flare1"), RunEnd("flare2"))),
            "hose": Run("hose", (RunEnd("turn", turns=True), RunEnd("push"))),
        },
        openings=table(
            Opening("port", "tank port", "tank", ("turn",), fluid="oil"),
            Opening("seat", "pipe seat", "master", ("flare1", "flare2"), fluid="brake"),
        ),
        fluids=table(
            Fluid("oil", "oil", "tank", drained_by="drain", leaks_if_off=("hose",)),
            Fluid("brake", "brake fluid", "master"),
        ),
        standings=table(
            Standing(
                "wheels",
                "on its wheel",
                (Support("w1", "wheel", "wheel", (0.0, 0.0)),),
                {"stands": 30.0},
            ),
            Standing(
                "stands",
                "on stands",
                (Support("s1", "stand", "frame", (0.0, 0.0)),),
                {"wheels": 30.0, "beam": 12.0},
            ),
            Standing(
                "beam",
                "on the beam",
                (Support("b1", "beam", "frame", (0.0, 0.0), hides=("lamp",)),),
                {"stands": 12.0},
            ),
        ),
        temporary_supports=table(
            TemporarySupport("hoist", "hoist", "engine", "joint:em", "part:engine")
        ),
        jobs=table(
            Job("drain", "drain the oil", JobKind.DRAIN, minutes=likely(9), fluid="oil"),
            Job("paint", "paint the body", JobKind.PREPARE, parts=("body",), **rebuild),
            Job("gaps", "set the gaps", JobKind.SET, joints=("hinge1", "hinge2"), **rebuild),
            Job("oil", "fill the oil", JobKind.FILL, fluid="oil", **rebuild),
            Job("bleed", "bleed it", JobKind.BLEED, fluid="brake", minutes=likely(20), **rebuild),
            Job(
                "weigh",
                "weigh it",
                JobKind.WEIGH,
                standings=("wheels",),
                minutes=likely(15),
                **rebuild,
            ),
            Job("look", "second look", JobKind.SECOND_CHECK, joints=("bush1",), **rebuild),
            Job("start", "first start", JobKind.RUN, minutes=likely(5), tool="key", **rebuild),
            Job("listen", "listen to it", JobKind.CHECK, same_sitting_as="start", **rebuild),
        ),
        obstructions=table(
            Obstruction("o1", ("body",), "joint:em", "no room below it"),
            Obstruction("o2", ("gearbox",), "joint:plate", "covers it"),
            Obstruction("o3", ("lamp", "hose"), "joint:flange", "from one side or the other"),
            Obstruction("o4", ("pipe",), "part:master", "past the pipe"),
            Obstruction("o5", ("frame",), "joint:screw", "it never came off"),
        ),
        befores=table(
            Before("b1", "joint:bush2", "part:wheel", "steady first", Phase.BOTH),
            Before("b2", "part:door", "part:lamp", "not on the way back", Phase.STRIP),
            Before("b3", "part:engine", "part:clutch", "of one whole", Phase.REBUILD),
        ),
        assemblies=table(
            Assembly("unit", "engine unit", ("engine", "clutch", "gearbox"), likely(25))
        ),
        goals=table(Goal("bare", "bare frame", "frame", off_rest=True)),
    )


STRIPPED = (
    "joint:screw",
    "part:lamp",
    "joint:pin",
    "part:badge",
    "joint:catch",
    "joint:hinge1",
    "joint:hinge2",
    "part:door",
    "part:mystery",
    "joint:push",
    "joint:turn",
    "part:hose",
    "joint:strap",
    "part:tank",
    "joint:flare1",
    "joint:flare2",
    "part:pipe",
    "joint:flange",
    "part:master",
    "joint:clamp",
    "joint:mount",
    "part:body",
    "joint:em",
    "part:engine",
    "part:clutch",
    "part:gearbox",
    "joint:bell",
    "joint:plate",
    "joint:nuts",
    "part:wheel",
    "joint:bush1",
    "joint:bush2",
    "joint:propped",
    "part:axle",
    "part:box",
)
"""In the order in which it all came off; nobody described the box."""


def in_pieces(vehicle: Vehicle, **other: object) -> State:
    """The barrow in pieces: the badge lost, the wheel at the plater, a dolly and a plug in."""
    off = {ref[5:]: None for ref in STRIPPED if ref.startswith("part:")}
    off |= dict.fromkeys(("engine", "clutch", "gearbox"), "unit")
    state = state_of(
        vehicle,
        off=off,
        undone=[ref[6:] for ref in STRIPPED if ref.startswith("joint:")],
        done=("drain",),
        gone=("badge",),
        standing="stands",
        order=STRIPPED,
        fits={"f1": FitState("f1", what="dolly", on="part:wheel", fitted=said())},
        openings={"port": OpeningState("port", all_closed=True)},
        fluids={"brake": FluidState("brake", drained=said())},
        **other,
    )
    away = Common(sent_out=Away(said(), "plater"))
    wheel = replace(state.parts["wheel"], common=away)
    return replace(state, parts={**state.parts, "wheel": wheel})


WHEEL_ON = "put on part:wheel @ stands | prop hold it | out dolly, four wheels | waits the plater"

GOOD_REBUILD = (
    "prepare part:wheel @ stands | note take the masking out, plugs and tape and wax"
    " | waits the plater",
    "prepare part:master @ stands | note pipe seat stood open",
    "do job:paint @ stands",
    "put on part:box @ stands",
    "make joint:plate @ stands",
    "tighten joint:plate @ stands",
    "make joint:bell @ stands",
    "tighten joint:bell @ stands",
    "put on part:axle @ stands | prop hold the axle",
    "make joint:bush1 @ stands",
    "make joint:bush2 @ stands",
    "make joint:propped @ stands",
    "tighten joint:bush1 @ stands",
    "tighten joint:bush2 @ stands",
    "tighten joint:propped @ stands",
    WHEEL_ON,
    "make joint:nuts @ stands",
    "tighten joint:nuts @ stands",
    "put on assembly:unit @ stands",
    "make joint:em @ stands",
    "tighten joint:em @ stands",
    "put on part:body @ stands | prop two people hold it",
    "make joint:mount @ stands | renew 2 × split pin 2.4 mm",
    "make joint:clamp @ stands",
    "tighten joint:mount @ stands",
    "tighten joint:clamp @ stands",
    "put on part:master @ stands",
    "make joint:flange @ stands",
    "tighten joint:flange @ stands",
    "put on part:pipe @ stands",
    "make joint:flare1 @ stands",
    "make joint:flare2 @ stands",
    "tighten joint:flare1 @ stands",
    "tighten joint:flare2 @ stands",
    "check joint:flare1 @ stands",
    "put on part:tank @ stands",
    "make joint:strap @ stands",
    "tighten joint:strap @ stands",
    "put on part:hose @ stands",
    "make joint:turn @ stands | out 1 × plug: tank port",
    "tighten joint:turn @ stands",
    "make joint:push @ stands",
    "tighten joint:push @ stands",
    "put on part:mystery @ stands",
    "put on part:door @ stands | prop hold the door",
    "make joint:hinge1 @ stands",
    "make joint:hinge2 @ stands",
    "make joint:catch @ stands",
    "tighten joint:hinge1 @ stands",
    "tighten joint:hinge2 @ stands",
    "tighten joint:catch @ stands",
    "finish joint:catch @ stands",
    "do job:gaps @ stands",
    "put on part:lamp @ stands",
    "make joint:screw @ stands",
    "tighten joint:screw @ stands",
    "do job:oil @ stands",
    "fill fluid:brake @ stands",
    "do job:bleed @ stands",
    "do job:weigh @ wheels",
    "finish joint:bush1 @ wheels",
    "finish joint:nuts @ wheels",
    "do job:look @ wheels",
    "do job:start @ wheels",
    "do job:listen @ wheels",
    "finish joint:clamp @ wheels",
)

WAITING = (Waiting("part:badge", "lost"), Waiting("joint:pin", "the badge waits"))

_SHARES = {Action.MAKE: 1 / 2, Action.TIGHTEN: 1 / 2, Action.FINISH: 1 / 2, Action.CHECK: 1 / 5}
_REASON = Reason(Because.GOAL, "part:frame", "it came off")


def put_back(
    vehicle: Vehicle,
    lines: Iterable[str],
    *,
    start: str | None = "stands",
    settings: PlanSettings = USUAL,
    waiting: tuple[Waiting, ...] = WAITING,
) -> Plan:
    """A rebuild from its lines, each step with what it costs."""
    steps: list[Step] = []
    at, zone, tool, helped = start, None, "", False
    for line in lines:
        deed, *more = line.split(" | ")
        said_more = {"out": [], "renew": [], "waits": [], "note": [], "prop": [], "hold": []}
        for each in more:
            word, _, rest = each.partition(" ")
            said_more[word].append(rest)
        step = step_of(deed)
        where, with_what, minutes = _place(vehicle, step)
        change = vehicle.standings[at].change_minutes if at in vehicle.standings else {}
        setup = 0.0 if step.standing == at else change.get(step.standing, 0.0)
        setup += settings.zone_minutes if where and zone and where != zone else 0.0
        setup += settings.tool_minutes if with_what and tool and with_what != tool else 0.0
        crew = crew_of(vehicle, step)
        setup += settings.helper_minutes if crew > 1 and not helped else 0.0
        at, zone, tool, helped = step.standing, where or zone, with_what or tool, crew > 1
        steps.append(
            replace(
                step,
                zone=where,
                tool=with_what,
                crew=crew,
                minutes=minutes,
                setup_minutes=setup,
                reasons=(_REASON,),
                take_out=tuple(said_more["out"]),
                renew=tuple(said_more["renew"]),
                waits_for="; ".join(said_more["waits"]),
                notes=tuple(said_more["note"]),
                prop_first="; ".join(said_more["prop"]),
                add_support="; ".join(said_more["hold"]),
            )
        )
    return Plan(
        goal=None,
        steps=staged(vehicle, steps),
        work_minutes=sum(step.minutes for step in steps),
        setup_minutes=sum(step.setup_minutes for step in steps),
        waiting=waiting,
        start=start,
    )


def staged(vehicle: Vehicle, steps: Iterable[Step]) -> tuple[Step, ...]:
    """The steps with their stages, where proving comes first and the paint is dry."""
    found, running = [], False
    for step in steps:
        job = vehicle.jobs.get(split_ref(step.what)[1]) if step.action is Action.DO else None
        running |= job is not None and job.kind is JobKind.RUN
        stage = Stage.READY if step.action is Action.PREPARE else Stage.BUILD
        if job is not None and job.kind is JobKind.PROVE:
            stage = Stage.TRIAL
        elif job is not None and "paint" in job.name:
            stage = Stage.PAINT
        found.append(replace(step, stage=Stage.RUN if running else stage))
    last = max((at for at, each in enumerate(found) if _runs(vehicle, each)), default=len(found))
    return tuple(
        replace(each, stage=Stage.AFTER) if at > last else each for at, each in enumerate(found)
    )


def _runs(vehicle: Vehicle, step: Step) -> bool:
    kind, name = split_ref(step.what)
    return kind == "job" and name in vehicle.jobs and vehicle.jobs[name].kind is JobKind.RUN


def _place(vehicle: Vehicle, step: Step) -> tuple[str | None, str, float]:
    """Zone, tool and minutes of a step; nothing for what nobody knows."""
    kind, name = split_ref(step.what)
    if step.action is Action.PREPARE:
        return None, "", 0.0
    if kind == "joint" and name in vehicle.joints:
        joint = vehicle.joints[name]
        tool = "" if step.action is Action.CHECK else joint.tool
        return vehicle.zone_of(joint), tool, joint.minutes.likely * _SHARES.get(step.action, 0)
    if kind == "job" and name in vehicle.jobs:
        job = vehicle.jobs[name]
        return job.zone, job.tool, job.minutes.likely
    if kind == "part" and name in vehicle.parts:
        part = vehicle.parts[name]
        return part.zone or None, "", part.minutes.likely
    if kind == "assembly" and name in vehicle.assemblies:
        whole = vehicle.assemblies[name]
        return vehicle.parts[whole.parts[0]].zone or None, "", whole.minutes.likely
    if kind == "fluid" and name in vehicle.fluids:
        fluid = vehicle.fluids[name]
        jobs = [
            job.minutes.likely
            for job in vehicle.jobs.values()
            if (job.id == fluid.drained_by if step.action is Action.FILL else job.fluid == name)
        ]
        return None, "", max(jobs, default=0.0)
    return None, "", 0.0
