"""The walk-round before a lift: its ties zone by zone, in the order in which one comes past them.

Zones are walked from front to rear where all of them have a place, else as they were described;
within a zone from the left to the right.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from statistics import fmean

from putback.logbook.entries.base import PersonId
from putback.logbook.state import JointState, State
from putback.vehicle.ids import JointId, OpeningId, PartId, StandingId, ZoneId
from putback.vehicle.joint import Does, Joint
from putback.vehicle.part import Point
from putback.vehicle.vehicle import Vehicle


class Tick(StrEnum):
    """How a tie is ticked off."""

    MADE = "made"
    HALF_UNDONE = "half undone"
    UNDONE = "undone"  # in the logbook; nobody looked since
    SEEN_FREE = "seen free"


@dataclass(frozen=True, slots=True)
class Tie:
    """One line of the walk-round; times in [minutes].

    ``parts`` are those it ties that are on, what is lifted or goes along first. ``seen_by`` saw it
    free, whatever the logbook says of it.
    """

    joint: JointId
    name: str
    parts: tuple[PartId, ...]
    tick: Tick
    out: int
    of: int
    stuck: int
    tool: str
    minutes: float
    standings: tuple[StandingId, ...]
    """Those it can be undone in; empty for any."""
    openings: tuple[OpeningId, ...]
    """To close once it is undone; those that are closed already are left out."""
    lets_go: Does
    prop_first: str
    seen_by: PersonId | None = None
    near: bool = True
    """It is on what is lifted, or on a run that leads on from there; others are further off."""
    advised: bool = False
    """It is of the cheapest cut."""

    @property
    def holds(self) -> bool:
        """Whether it still ties."""
        return self.tick in (Tick.MADE, Tick.HALF_UNDONE)

    @property
    def is_listed(self) -> bool:
        """Whether a walk-round shows it unasked: it is near, advised, or was worked on.

        What is undone however far off is to be looked at, and a line that was ticked stays.
        """
        return self.near or self.advised or self.tick is not Tick.MADE


@dataclass(frozen=True, slots=True)
class Stop:
    """The ties of one zone, in the order in which one comes past them."""

    zone: ZoneId | None
    name: str
    ties: tuple[Tie, ...]


class Walk:
    """What is known of a walk-round before it is put in order.

    ``held`` still tie, ``undone`` would; ``ours`` are the parts that are lifted or go along.
    """

    def __init__(
        self,
        vehicle: Vehicle,
        state: State,
        *,
        held: Collection[JointId],
        undone: Collection[JointId],
        ours: Collection[PartId],
        near: Collection[JointId],
        advised: Collection[JointId],
    ) -> None:
        self.vehicle = vehicle
        self.state = state
        self.held = held
        self.wanted = frozenset((*held, *undone))
        self.ours = ours
        self.near = near
        self.advised = advised

    def stops(self) -> tuple[Stop, ...]:
        """Put the ties in order."""
        by_zone: dict[ZoneId | None, list[Joint]] = {}
        for joint in self.vehicle.joints.values():
            if joint.id in self.wanted:
                by_zone.setdefault(self.vehicle.zone_of(joint), []).append(joint)
        places = {joint: self._place(self.vehicle.joints[joint]) for joint in self.wanted}
        return tuple(
            Stop(
                zone,
                self._name(zone),
                tuple(
                    self._tie(joint)
                    for joint in sorted(by_zone[zone], key=lambda each: _along_it(places[each.id]))
                ),
            )
            for zone in self._way_round(by_zone, places)
        )

    def _way_round(
        self,
        by_zone: Mapping[ZoneId | None, Sequence[Joint]],
        places: Mapping[JointId, Point | None],
    ) -> list[ZoneId | None]:
        """Order zones from front to rear where all have a place, else as they were described."""
        described: list[ZoneId | None] = [each for each in self.vehicle.zones if each in by_zone]
        zones = [*described, *(each for each in by_zone if each not in described)]
        x_m = {
            zone: [place[0] for joint in by_zone[zone] if (place := places[joint.id])]
            for zone in zones
        }
        if all(x_m.values()):
            zones.sort(key=lambda zone: fmean(x_m[zone]))
        return zones

    def _name(self, zone: ZoneId | None) -> str:
        described = self.vehicle.zones.get(zone) if zone is not None else None
        return described.name if described else zone or ""

    def _place(self, joint: Joint) -> Point | None:
        """Where it is: where the lightest of its parts lies, which is the nearest to it."""
        parts = [record for each in joint.parts if (record := self.vehicle.parts.get(each))]
        placed = [(part.mass_kg or 0.0, part.cg_m) for part in parts if part.cg_m is not None]
        return min(placed)[1] if placed else None

    def _tie(self, joint: Joint) -> Tie:
        seen = self.state.joints.get(joint.id) or JointState(joint.id, of=joint.fixing_count)
        holds = joint.id in self.held
        tick = (
            (Tick.HALF_UNDONE if seen.out else Tick.MADE)
            if holds
            else (Tick.SEEN_FREE if seen.seen_free else Tick.UNDONE)
        )
        moves = joint.moves(self.state.parts_off)
        on = (part for part in joint.parts if part not in self.state.parts_off)
        parts = sorted(on, key=lambda part: part not in self.ours)
        return Tie(
            joint=joint.id,
            name=joint.name,
            parts=tuple(parts),
            tick=tick,
            out=seen.out if holds else seen.of,
            of=seen.of,
            stuck=seen.stuck,
            tool=joint.tool,
            minutes=joint.minutes.likely,
            standings=joint.standings,
            openings=tuple(self._openings.get(joint.id, ())),
            lets_go=moves.does,
            prop_first=moves.prop_first,
            seen_by=seen.seen_free.who if seen.seen_free else None,
            near=joint.id in self.near,
            advised=joint.id in self.advised,
        )

    @cached_property
    def _openings(self) -> Mapping[JointId, Sequence[OpeningId]]:
        """The openings to close once each joint is undone, but for those that are closed."""
        found: dict[JointId, list[OpeningId]] = {}
        for opening in self.vehicle.openings.values():
            seen = self.state.openings.get(opening.id)
            closed = seen is not None and (seen.all_closed or seen.closed >= opening.ends)
            for joint in opening.joints if opening.needs_closing and not closed else ():
                found.setdefault(joint, []).append(opening.id)
        return found


def _along_it(place: Point | None) -> tuple[bool, float, float]:
    """Order by place within a zone: from the left to the right, and there to the rear."""
    return (True, 0.0, 0.0) if place is None else (False, place[1], place[0])
