"""What a vehicle is made of: parts, joints, runs, standings, goals, and the facts between them.

The records are here by name. What is done with them has modules of its own:

- `putback.vehicle.file`: read and write a vehicle file,
- `putback.vehicle.check`: every fault in a description at once,
- `putback.vehicle.nearest`: what somebody means by a name,
- `putback.vehicle.table_import`: parts from a spreadsheet,
- `putback.vehicle.generate`: synthetic vehicles of any size,
- `putback.vehicle.codec`: records to plain values and back.
"""

from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, HarderAfter, Obstruction
from putback.vehicle.fastener import FastenerSpec
from putback.vehicle.goal import Goal
from putback.vehicle.job import Job
from putback.vehicle.joint import Joint
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part
from putback.vehicle.run import Run
from putback.vehicle.standing import Standing, Support, TemporarySupport, Zone
from putback.vehicle.vehicle import About, Vehicle

__all__ = [
    "About",
    "Assembly",
    "Before",
    "FastenerSpec",
    "Fluid",
    "Goal",
    "HarderAfter",
    "Job",
    "Joint",
    "Obstruction",
    "Opening",
    "Part",
    "Run",
    "Standing",
    "Support",
    "TemporarySupport",
    "Vehicle",
    "Zone",
]
