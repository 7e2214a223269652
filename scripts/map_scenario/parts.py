"""Parts: kinds, cautions, and what to photograph and measure before they come off."""

from typing import Any

from scripts.map_scenario.outlines import OUTLINES
from scripts.map_scenario.source import Scenario

KINDS = {
    **dict.fromkeys(("CH01", "CH02", "CH03", "BS01", "BS20"), "structure"),
    **dict.fromkeys(("BS02", "BS03", "BS04L", "BS04R"), "panel"),
    **dict.fromkeys(("BS05FL", "BS05FR", "BS05RL", "BS05RR"), "panel"),
    **dict.fromkeys(("BS06", "BS07"), "glass"),
    **dict.fromkeys(("BS08", "BS13", "BS14", "BS15", "BS17"), "trim"),
    **dict.fromkeys(("EB01", "EB03", "EB09", "EB10", "EB11", "EB12", "RA01"), "machine"),
    **dict.fromkeys(("WHFL", "WHFR", "WHRL", "WHRR"), "wheel"),
    **dict.fromkeys(("FS03L", "FS03R", "RA02L", "RA02R"), "spring"),
    **dict.fromkeys(("BS18", "BS19"), "loom"),
}

ASBESTOS = "old friction linings may hold asbestos: wet them, never blow them out, mask on"
STORED = "stored energy: a loaded spring kills; compressor on, jack under, nobody in line"
GLASS = "glass: gloves and eye protection; two people, carried upright"
FLUID = "brake fluid strips paint and harms skin: gloves, wash off at once with water"
FUEL = "petrol vapour: outdoors, no flame, no spark, earthed container, extinguisher at hand"

CAUTIONS: dict[str, tuple[str, ...]] = {
    "BS01": (
        "hot work: wax, trim and fuel lines away, extinguisher and water at hand, then fire watch",
        "suspended load: nobody under it; the shell flexes unless it is braced",
    ),
    "CH01": ("hot work: box sections hold wax and fuel vapour; look inside afterwards",),
    "EB01": ("suspended load: nobody under it; the mass of the vehicle moves to the rear",),
    "EB02": (ASBESTOS, "threadlock: heat and steady pull, no hammer"),
    "EB03": ("suspended load: the tail drops once the crossmember is away",),
    "EB04": ("fuel spill: engine cold, rag ready, no lamp with a bulb",),
    "EB07": ("brittle studs: penetrating oil, heat, small movements; eye protection",),
    "EB11": ("fuel spill: engine cold, rag ready",),
    "EB15": ("short circuit: earth lead off first, insulated spanner", "acid: keep it upright"),
    "EB17": ("old insulation in heaters may hold asbestos: keep it wet and whole",),
    "EB18": (FLUID,),
    "EB19": (FLUID,),
    "EB21": (FLUID,),
    **dict.fromkeys(("BS06", "BS07"), (GLASS,)),
    **dict.fromkeys(
        ("BS04L", "BS04R"), ("captive nuts spin or shear: stop, soak, hold the cage",)
    ),
    **dict.fromkeys(("BS09", "BS10"), ("seized bolts: eye protection; it drops at the last one",)),
    **dict.fromkeys(("TR01", "TR02"), ("seized studs and rust overhead: eye protection",)),
    "BT01": (FUEL, "never weld or grind on a tank, however long it has been empty"),
    **dict.fromkeys(("FS03L", "FS03R"), (STORED,)),
    **dict.fromkeys(("FS05L", "FS05R"), ("tapers jump free: nut left on by some threads",)),
    **dict.fromkeys(("FS07L", "FS07R"), (ASBESTOS, FLUID)),
    "RA01": ("drops when the U-bolts or the second damper eye go: jack under the casing",),
    **dict.fromkeys(("RA02L", "RA02R"), ("seized eye bolts: heat ruins the bush, expect to cut",)),
    **dict.fromkeys(("RA04L", "RA04R"), (ASBESTOS, "return springs fly: pliers made for them")),
    **dict.fromkeys(("RA05L", "RA05R"), (ASBESTOS,)),
    **dict.fromkeys(("RA07L", "RA07R"), ("hub jumps off its taper: nut on by three threads",)),
}

PHOTOS: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(
        ("BS05FL", "BS05FR", "BS05RL", "BS05RR"), ("hinge shims per bolt", "check strap")
    ),
    "BS16": ("every terminal",),
    "TR04": ("adjuster threads showing",),
    **dict.fromkeys(("BS04L", "BS04R"), ("shims per bolt",)),
    "EB04": ("linkage holes and springs",),
    "EB08": ("rotor at No. 1 firing",),
    "TR03": ("flange marks",),
    "EB16": ("every terminal",),
    "BS18": ("route with scale before each clip is opened",),
    "BS22": ("packers per position",),
    **dict.fromkeys(
        ("FS01L", "FS01R", "FS02L", "FS02R"), ("shim packs per bolt", "which way the bolts face")
    ),
    **dict.fromkeys(("RA07L", "RA07R"), ("key and slot", "dots on hub and shaft")),
    **dict.fromkeys(("RA08L", "RA08R"), ("shim pack fanned out",)),
    **dict.fromkeys(("RA04L", "RA04R"), ("shoes and springs before anything is touched",)),
    **dict.fromkeys(("L02", "L03", "L05", "L07L", "L07R"), ("on a grid board with scale",)),
    **dict.fromkeys(("L01", "L08", "L09"), ("on a grid board with scale",)),
}

MEASURES: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("BS05FL", "BS05FR", "BS05RL", "BS05RR"), ("gap at five places",)),
    **dict.fromkeys(("ST04L", "ST04R"), ("eye to eye", "threads showing at each end")),
    "TR04": ("threads showing at the compensator",),
    **dict.fromkeys(("FS03L", "FS03R"), ("free length",)),
    **dict.fromkeys(("RA02L", "RA02R"), ("camber height",)),
    **dict.fromkeys(("RA08L", "RA08R"), ("each end-float shim",)),
    **dict.fromkeys(("FS06L", "FS06R"), ("disc thickness at four places", "disc run-out")),
    **dict.fromkeys(("RA05L", "RA05R"), ("drum bore",)),
}

SIDES = {"L": "left", "R": "right"}


def part_rows(scenario: Scenario) -> list[dict[str, Any]]:
    """The 97 parts of the scenario, as plain records without minutes and standings."""
    crates = {row["id"]: row["name"] for row in scenario.raw["crates"]}
    found = []
    for row in scenario.parts.values():
        mark = row["orientation_mark"]
        crate = f", crate {row['crate']} {crates[row['crate']]}" if row["crate"] else ""
        side, plan = OUTLINES.get(row["id"], ((), ()))
        found.append(
            {
                "id": row["id"],
                "name": row["name"],
                "zone": row["zone"],
                "name_us": row["name_us"] if row["name_us"] != row["name"] else "",
                "side": SIDES.get(row["side"]),
                "quantity": row["qty"],
                "kind": KINDS.get(row["id"], "part"),
                "system": row["system"],
                "mass_kg": row["mass_kg"],
                "cg_m": row["cg_m"],
                "crew": row["lift"]["people"],
                "hoist": row["lift"]["aid"] or "",
                "cautions": CAUTIONS.get(row["id"], ()),
                "marks": [{"how": mark["kind"], "where": mark["where"], "record": mark["record"]}]
                if mark
                else [],
                "photos": PHOTOS.get(row["id"], ()),
                "measures": MEASURES.get(row["id"], ()),
                "seize_risk": row["seize_risk"],
                "store_as": row["store_as"] + crate,
                "outside_work": row["outside_work"] or "",
                "outline_side": side,
                "outline_plan": plan,
                "note": row["note"] or "",
            }
        )
    return found
