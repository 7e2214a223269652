"""A car in a few lines that has something for every list."""

from putback.vehicle.ids import JointId, OpeningId, PartId, ZoneId
from putback.vehicle.opening import Opening
from putback.vehicle.part import Part, PartKind
from putback.vehicle.run import Passage, Run, RunEnd
from tests.makers import vehicle
from tests.workshop.lines import Lines


def hose_car() -> Lines:
    """A critical pump, a lid, and a hose with a loom's branch at one end."""
    pump = Part(PartId("pump"), "pump", ZoneId("here"), mass_kg=4.5)
    hose = Part(PartId("hose"), "brake hose", ZoneId("here"), kind=PartKind.HOSE)
    cable = Part(PartId("cable"), "choke cable", ZoneId("here"), kind=PartKind.CABLE)
    run = Run(
        PartId("hose"),
        ends=(RunEnd(JointId("hose-pump"), "the pump", turns=True), RunEnd(JointId("hose-frame"))),
        route=("over the axle", "under the rail"),
        passages=(Passage("grommet", bore_m=0.012),),
        comes_out="rearwards",
        why="the union will not pass",
        length_m=0.64,
        bends=3,
        remake=True,
    )
    choke = Run(
        PartId("cable"),
        ends=(RunEnd(JointId("cable-frame"), branch="B2", passes=False),),
        clips=(JointId("lid-pump"),),
        before_drawing="grease it",
        undo_order=("knob", "lever"),
        fit_order=("lever", "knob"),
        keep_as_pattern=True,
        note="no sharp bend",
    )
    end = Opening(
        OpeningId("end"), "hose end", PartId("hose"), (JointId("hose-pump"),),
        thread="3/8-24 UNF", closed_with="threaded plug",
    )  # fmt: skip
    return Lines(
        vehicle(
            pump, hose, cable, run, choke, end,
            "pump - frame: 2 nut M8 + spring washer M8!; critical",
            "lid - pump: 4 screw M4",
            "hose - pump: 1 pipe nut 3/8-24 UNF",
            "hose - frame: 1 pipe nut 3/8-24 UNF",
            "cable - frame: 1 grub screw M4",
            datum="frame",
        )
    )  # fmt: skip
