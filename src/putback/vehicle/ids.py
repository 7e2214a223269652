"""Identities of what a vehicle is made of.

Identities are plain strings chosen by a person or a template, short enough to be written on a
tag. ``NewType`` keeps a part from being handed over where a joint is wanted, at no cost when the
program runs. A `Ref` names one thing of any kind: ``"joint:J1"``, ``"part:P1"``, ``"job:drain"``.
"""

from typing import NewType

PartId = NewType("PartId", str)
JointId = NewType("JointId", str)
OpeningId = NewType("OpeningId", str)
ZoneId = NewType("ZoneId", str)
StandingId = NewType("StandingId", str)
SupportId = NewType("SupportId", str)
JobId = NewType("JobId", str)
FactId = NewType("FactId", str)
AssemblyId = NewType("AssemblyId", str)
GoalId = NewType("GoalId", str)
FluidId = NewType("FluidId", str)
VehicleId = NewType("VehicleId", str)

Ref = NewType("Ref", str)
"""One thing of the vehicle: its kind, a colon, its identity."""

NOT_SAID = "?"
"""Stands for the identity of what a record must name and nobody named yet."""
NO_ZONE = "no zone said"
"""What a zone is called that stands for none."""


def part_ref(part: PartId) -> Ref:
    """Name a part: taking it off in the strip, putting it on in the rebuild."""
    return Ref(f"part:{part}")


def joint_ref(joint: JointId) -> Ref:
    """Name a joint: undoing it in the strip, making it in the rebuild."""
    return Ref(f"joint:{joint}")


def job_ref(job: JobId) -> Ref:
    """Name a declared job: one that touches no joint, or that finishes several."""
    return Ref(f"job:{job}")


def assembly_ref(assembly: AssemblyId) -> Ref:
    """Name an assembly: taking it off or putting it on as one."""
    return Ref(f"assembly:{assembly}")


def fluid_ref(fluid: FluidId) -> Ref:
    """Name a fluid: filling it, bleeding its circuit."""
    return Ref(f"fluid:{fluid}")


def split_ref(ref: Ref) -> tuple[str, str]:
    """Part a reference into its kind and its identity."""
    kind, _, identity = ref.partition(":")
    return kind, identity
