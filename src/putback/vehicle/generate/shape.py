"""The shape of an invented vehicle: what hangs on what, and where the runs go.

A frame carries a shell and two axles with wheels; in each zone machines with small parts hung on
them are bolted to one of these; pipes, hoses, cables and looms pass between. Below
`SMALLEST_WHEELED` parts there are no wheels: a frame on blocks with something bolted to it.
"""

from collections import Counter
from dataclasses import dataclass, field
from functools import cached_property
from random import Random

from putback.vehicle.generate.words import CARE, MASS_KG, NOUNS, REGIONS, Region
from putback.vehicle.ids import PartId, ZoneId
from putback.vehicle.part import RUN_KINDS, MarkNeeded, Part, PartKind, Side

SMALLEST_WHEELED = 12

FRAME = PartId("p1")

_RUN_SHARE = 0.18
_MASS_UNKNOWN = 0.1
_RUNS = (PartKind.PIPE, PartKind.HOSE, PartKind.CABLE, PartKind.LOOM)
_CENTRAL = (PartKind.MACHINE, PartKind.MACHINE, PartKind.PANEL)
_HUNG_ON = (PartKind.PART, PartKind.PART, PartKind.PANEL, PartKind.TRIM, PartKind.MACHINE)


@dataclass(frozen=True, slots=True)
class Item:
    """A part, what it hangs on, and whether it stays on a rolling chassis.

    A run's ends are on what it hangs on, its clips on ``clipped_to``.
    """

    part: Part
    region: Region
    hangs_on: tuple[PartId, ...]
    kept: bool = False
    clipped_to: tuple[PartId, ...] = ()

    @property
    def is_run(self) -> bool:
        """Whether it is a pipe, hose, cable or loom."""
        return self.part.kind in RUN_KINDS


@dataclass
class Shape:
    """All items, carriers before what they carry, and which of them form clusters."""

    regions: tuple[Region, ...]
    items: dict[PartId, Item] = field(default_factory=dict)
    clusters: list[list[PartId]] = field(default_factory=list)
    shell: PartId | None = None
    axles: tuple[PartId, ...] = ()
    wheels: tuple[PartId, ...] = ()

    @cached_property
    def hoisted(self) -> tuple[PartId, ...]:
        """The parts that come off on a hoist: some of those too heavy for hands."""
        heavy = [
            item.part.id
            for item in self.items.values()
            if item.part.hoist and item.part.id not in (FRAME, self.shell)
        ]
        return tuple(heavy[: 1 + len(self.items) // 60])

    @property
    def is_wheeled(self) -> bool:
        """Whether it is large enough to roll."""
        return bool(self.wheels)


def draw_shape(parts: int, rng: Random) -> Shape:
    """Draw the shape of a vehicle of exactly so many parts."""
    shape = Shape(REGIONS[: max(1, min(len(REGIONS), (parts + 3) // 6))])
    draw = _Drawing(shape, rng)
    draw.skeleton(wheeled=parts >= SMALLEST_WHEELED)
    runs = round(_RUN_SHARE * parts) if parts >= 5 else 0
    while len(shape.items) < parts - runs:
        draw.cluster(parts - runs - len(shape.items))
    for _ in range(runs):
        draw.run()
    return shape


class _Drawing:
    """Adds items to a shape, with names that are not used twice."""

    def __init__(self, shape: Shape, rng: Random) -> None:
        self.shape = shape
        self.rng = rng
        self.names: Counter[str] = Counter()

    def add(
        self,
        name: str,
        kind: PartKind,
        region: Region,
        hangs_on: tuple[PartId, ...],
        *,
        kept: bool = False,
        mass_kg: float | None = None,
        side: Side | None = None,
        clipped_to: tuple[PartId, ...] = (),
    ) -> PartId:
        """Add one part; its mass is drawn for its kind unless given."""
        rng = self.rng
        if mass_kg is None and rng.random() >= _MASS_UNKNOWN:
            low, high = MASS_KG[kind]
            mass_kg = round(low * (high / low) ** rng.random(), 1)
        x, y, z = region.centre
        part = Part(
            id=PartId(f"p{len(self.shape.items) + 1}"),
            name=name,
            zone=ZoneId(region.id),
            side=side,
            kind=kind,
            mass_kg=mass_kg,
            cg_m=(
                round(x + rng.gauss(0, 0.2), 2),
                round(y + rng.gauss(0, 0.25), 2),
                round(max(0.15, z + rng.gauss(0, 0.1)), 2),
            ),
            crew=1 if mass_kg is None or mass_kg < 25 else 2 if mass_kg < 120 else 4,
            hoist="engine hoist" if kind is PartKind.MACHINE and (mass_kg or 0) >= 60 else "",
            cautions=(rng.choice(CARE),) if rng.random() < 0.1 else (),
            marks=(MarkNeeded("scribe", "round its foot"),) if rng.random() < 0.15 else (),
            photos=("as it lies",) if kind in RUN_KINDS else (),
        )
        self.shape.items[part.id] = Item(part, region, hangs_on, kept, clipped_to)
        return part.id

    def named(self, name: str) -> str:
        """Number a name from its second use on."""
        self.names[name] += 1
        return name if self.names[name] == 1 else f"{name} {self.names[name]}"

    def skeleton(self, *, wheeled: bool) -> None:
        """Add what everything else hangs on."""
        shape, by_id = self.shape, {region.id: region for region in REGIONS}
        under = by_id["z-under"] if wheeled else shape.regions[0]
        self.add("frame", PartKind.STRUCTURE, under, (), kept=True, mass_kg=110.0)
        if not wheeled:
            return
        # Even a small vehicle has both its axles, whatever other zones it has.
        needed = [by_id[each] for each in ("z-under", "z-rear", "z-front", "z-cabin")]
        shape.regions = tuple(dict.fromkeys([*shape.regions, *needed]))
        shape.shell = self.add(
            "shell", PartKind.STRUCTURE, by_id["z-cabin"], (FRAME,), mass_kg=170.0
        )
        for end in ("front", "rear"):
            region = by_id[f"z-{end}"]
            axle = self.add(
                f"{end} axle", PartKind.MACHINE, region, (FRAME,), kept=True, mass_kg=55.0
            )
            wheels = tuple(
                self.add(
                    f"{end} wheel",
                    PartKind.WHEEL,
                    region,
                    (axle,),
                    kept=True,
                    mass_kg=14.0,
                    side=side,
                )
                for side in Side
            )
            shape.axles += (axle,)
            shape.wheels += wheels

    def cluster(self, room: int) -> None:
        """Add a central part on a carrier and some parts hung on it, in one zone."""
        rng, shape = self.rng, self.shape
        region = rng.choice(shape.regions)
        kept = region.kept and rng.random() < 0.7 if shape.is_wheeled else self._every_third()
        carriers = [FRAME]
        if region.kept and shape.axles:
            carriers += [axle for axle in shape.axles if shape.items[axle].region == region]
        elif shape.shell and not region.below:
            carriers = [shape.shell, shape.shell, shape.shell, FRAME]
        kind = rng.choice(_CENTRAL)
        name = self.named(f"{region.adjective} {rng.choice(NOUNS[kind])}")
        members = [self.add(name, kind, region, (rng.choice(carriers),), kept=kept)]
        for _ in range(min(room - 1, rng.randint(0, 6))):
            kind = rng.choice(_HUNG_ON)
            name = self.named(f"{region.adjective} {rng.choice(NOUNS[kind])}")
            on = members[0] if rng.random() < 0.65 else rng.choice(members)
            members.append(self.add(name, kind, region, (on,), kept=kept))
        shape.clusters.append(members)

    def _every_third(self) -> bool:
        """Keep some of a vehicle without wheels, but never the first cluster."""
        return len(self.shape.clusters) % 3 == 1

    def run(self) -> None:
        """Add a pipe, hose, cable or loom between two parts or more, clipped on its way."""
        rng, shape = self.rng, self.shape
        solid = [
            item
            for item in shape.items.values()
            if not item.is_run and item.part.kind is not PartKind.WHEEL
        ]
        first = rng.choice(solid[1:])
        near = [item for item in solid if item.region == first.region and item is not first]
        kind = rng.choice(_RUNS)
        count = min(len(solid) - 1, rng.randint(2, 5) if kind is PartKind.LOOM else 1)
        others = [item for item in rng.sample(solid, count) if item is not first]
        if near and rng.random() < 0.5:
            others[:1] = [rng.choice(near)]
        ends = list(dict.fromkeys(item.part.id for item in (first, *others)))
        if len(ends) < 2:
            ends.append(FRAME)
        carrier = shape.shell if shape.shell and not first.region.below else FRAME
        clips = (carrier,) * rng.randint(0, 3)
        self.add(
            self.named(f"{first.region.adjective} {rng.choice(NOUNS[kind])}"),
            kind,
            first.region,
            tuple(ends),
            kept=all(shape.items[each].kept for each in (*ends, *clips)),
            clipped_to=clips,
        )
