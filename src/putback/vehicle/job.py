"""A declared job: work that no joint says, or that finishes several joints at once.

Undoing a joint and taking a part off are jobs too, but follow from the joint and the part.
"""

from dataclasses import dataclass
from enum import StrEnum

from putback.vehicle.facts import Phase
from putback.vehicle.ids import FluidId, JobId, JointId, OpeningId, PartId, StandingId, ZoneId
from putback.vehicle.minutes import NO_TIME, Minutes


class JobKind(StrEnum):
    """What the job is for."""

    SURVEY = "survey"  # look, measure and photograph
    DRAIN = "drain"
    BRACE = "brace"  # hold a shell in shape; a temporary fit until taken out
    MARK = "mark"
    CRACK = "crack"  # break joints loose while the wheels hold them
    PREPARE = "prepare"  # chase threads, bare earths, mask, set up gear
    REPAIR = "repair"
    PROVE = "prove"  # trial build: offered up before paint
    CURE = "cure"  # waiting, nobody works
    SET = "set"  # end float, gaps, play, timing
    TIGHTEN = "tighten"  # final tightening of joints that had to wait
    WEIGH = "weigh"  # lowered, ballasted, settled
    FILL = "fill"
    BLEED = "bleed"
    CHECK = "check"
    SECOND_CHECK = "second check"  # by somebody who did not tighten it
    RUN = "run"  # first start, road test
    MOVE = "move"


@dataclass(frozen=True, slots=True)
class Job:
    """One declared job; ``minutes`` of elapsed work [minutes] for ``crew`` people."""

    id: JobId
    name: str
    kind: JobKind
    phase: Phase = Phase.STRIP
    minutes: Minutes = NO_TIME
    crew: int = 1
    zone: ZoneId | None = None
    standings: tuple[StandingId, ...] = ()
    tool: str = ""
    joints: tuple[JointId, ...] = ()
    """Joints it cracks, proves, sets, tightens or checks."""
    parts: tuple[PartId, ...] = ()
    """Parts it works on."""
    openings: tuple[OpeningId, ...] = ()
    fluid: FluidId | None = None
    target: str = ""
    """The value to reach, in words."""
    photos: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    same_sitting_as: JobId | None = None
    note: str = ""
