"""Lists gathered from the logbook: what each must say, in which order."""

import re

import pytest

from putback.errors import BadInput
from putback.vehicle.fastener import parse
from putback.vehicle.ids import JointId, PartId, Ref, ZoneId
from putback.vehicle.joint import Consumable, Fixing, Joint, Piece
from putback.vehicle.part import Part, PartKind
from putback.vehicle.run import Run, RunEnd
from putback.workshop.plans.plans import follow_rebuild
from putback.workshop.printing.fasteners import (
    PACKS,
    hardware,
    order_list,
    packs_text,
    torque_sheet,
)
from putback.workshop.printing.looking import open_list, walk_round
from putback.workshop.printing.manifest import manifest
from putback.workshop.printing.runs import pipes, routes
from putback.workshop.printing.wanted import Wanted
from tests.makers import vehicle
from tests.stores import PHONE
from tests.workshop.lines import CAR, Lines
from tests.workshop.printing.hose_car import hose_car


@pytest.fixture
def lines() -> Lines:
    """A critical pump, a lid, and a hose with a loom's branch at one end."""
    return hose_car()


def wanted(lines: Lines, **options) -> Wanted:
    """A document of that car."""
    return Wanted(lines.workshop, CAR, PHONE, **options)


def in_order(text: str, *said: str) -> bool:
    """Whether all of it stands there, one after the other."""
    places = [text.find(each) for each in said]
    return -1 not in places and places == sorted(places)


def test_a_walk_round_has_a_box_for_every_tie(lines, words_of):
    """Each joint of the lift with how it stands; what is undone is to be looked at."""
    lines("undone hose-pump")
    text = words_of(walk_round(wanted(lines, lift=(Ref("part:pump"),))))
    assert "Walk-round before lifting pump" in text
    assert "Look at every tie yourself" in text
    assert "pump-frame" in text
    assert "hose-pump" in text
    assert "Undone in the logbook; look at it" in text
    assert "1 undone and not looked at" in text


@pytest.mark.parametrize(
    ("lift", "told", "untold"),
    [
        (("pump", "cable"), "In all about 4.5 kg (9.9 lb), a guide value.", "0 kg"),
        (("cable",), "Lifted off frame. Not weighed: 1 part of it. Find out the weight", "In all"),
        (("lid", "hose", "cable"), "Not weighed: 3 parts of it. Find out the weight", "In all"),
    ],
)
def test_a_lift_of_unknown_mass_is_never_printed_to_weigh_nothing(
    lines, words_of, lift, told, untold
):
    """What is known is added up; what nobody weighed is to be found out before the lift."""
    text = words_of(walk_round(wanted(lines, lift=tuple(Ref(f"part:{each}") for each in lift))))
    assert told in text
    assert untold not in text
    assert "Not weighed: 1 parts" not in text


def test_a_walk_round_of_nothing_is_refused(lines):
    """Somebody must say what is lifted."""
    with pytest.raises(BadInput, match="nothing is lifted; say what is lifted"):
        walk_round(wanted(lines))


def test_the_open_list_has_dangers_first_and_what_clears_them(lines, words_of):
    """An end left open comes with closing it; with nothing open it says that, and no more."""
    nothing = words_of(open_list(wanted(Lines())))
    assert "Nothing that the logbook knows of is open." in nothing
    lines("undone hose-pump tag=3CAH")
    text = words_of(open_list(wanted(lines)))
    assert in_order(text, "Hose end", "Close it with threaded plug")


def test_the_torque_sheet_says_figure_and_what_was_applied(lines, words_of):
    """A critical joint is marked, and what was tightened comes with its figure and by whom."""
    lines("undone pump-frame")
    before = words_of(torque_sheet(wanted(lines)))
    assert "CRITICAL pump-frame" in before
    assert "25 N·m (18 lbf·ft)" in before
    lines("made pump-frame final torque='40 N·m'")
    after = words_of(torque_sheet(wanted(lines)))
    assert "40 N·m" in after
    assert "lid" not in after


def test_the_hardware_check_counts_bags_and_fasteners(lines, words_of):
    """Verdict first, then what is short, the bag with its contents, and each specification."""
    lines("undone lid-pump 4/4 tag=3HNA")
    text = words_of(hardware(wanted(lines)))
    assert in_order(text, "It does not close yet", "3HNA", "4 × screw M4", "takes")


def test_the_order_list_counts_what_is_new_and_in_which_packs(lines, words_of):
    """Two washers used once are two to buy, in a pack of ten, for their joint."""
    lines("undone pump-frame 2/2 tag=3CAH")
    lines("off pump")
    follow_rebuild(lines.workshop, CAR)
    text = words_of(order_list(wanted(lines, is_rebuild=True)))
    assert in_order(text, "spring washer M8", "for pump-frame", "2 0 2 10")


@pytest.mark.parametrize("pieces", [*range(1, 131), 205, 999])
def test_packs_hold_enough_and_as_little_over_as_can_be(pieces):
    """Compared with every sum of packs, as far as ten pieces beyond."""
    bought = sum(
        int(count or 1) * int(size)
        for count, _, size in (each.rpartition(" × ") for each in packs_text(pieces).split(" + "))
    )
    sums = {0}
    for _ in range(pieces // PACKS[0] + 8):
        sums |= {each + size for each in sums for size in PACKS if each + size <= pieces + 10}
    assert bought == min(each for each in sums if each >= pieces)


def test_a_route_card_says_the_way_and_where_each_branch_ends(lines, words_of):
    """Ends in their order, the way, the grommet with its bore, which way it comes out, and why."""
    text = words_of(routes(wanted(lines)))
    assert in_order(text, "Brake hose", "hose-pump".capitalize(), "turns: undone last",
                    "Passes, in this order: over the axle; under the rail",
                    "Through: grommet, 12 mm (0.472 in)",
                    "Comes out: rearwards: the union will not pass",
                    "Choke cable", "Will not pass the grommets", "B2",
                    "Before drawing it: grease it", "Undo in this order: knob; lever",
                    "Fit in this order: lever; knob", "Clips: lid-pump",
                    "No sharp bend")  # fmt: skip


def test_a_pipe_card_says_what_to_make_it_by(lines, words_of):
    """Length, bends, thread and plug; a cable is no pipe."""
    text = words_of(pipes(wanted(lines)))
    assert in_order(text, "Brake hose", "3/8-24 UNF", "threaded plug", "Length: 640 mm",
                    "Bends: 3", "To be made anew", "bend 1 2 3 straight before it",
                    "turned from the one before", "bent by")  # fmt: skip
    assert "4 straight" not in text
    assert "Choke" not in text
    only = words_of(routes(wanted(lines, runs=(PartId("cable"),))))
    assert "Brake hose" not in only
    with pytest.raises(BadInput, match="pump is no run; describe its way first"):
        routes(wanted(lines, runs=(PartId("pump"),)))


def test_the_manifest_says_what_lies_where_and_weighs_it(lines, words_of):
    """By place, each container with what is in it and its mass as far as it is known."""
    lines("undone lid-pump 4/4 tag=3HNA")
    lines("off pump tag=3HNA")
    lines("off lid tag=3HNA")
    lines("place store", new=True)
    lines("moved 3HNA store")
    text = words_of(manifest(wanted(lines)))
    assert in_order(text, "1 container or loose part, of about 4.5 kg (9.9 lb)",
                    "Store", "3HNA",
                    "4 pieces of hardware", "loaded by")  # fmt: skip
    assert "4.5 kg (9.9 lb) + more" in text


def test_a_manifest_of_what_nobody_weighed_gives_it_no_weight(lines, words_of):
    """One and many: never said to weigh nothing."""
    lines("off lid")
    lines("place store", new=True)
    lines("moved part:lid store")
    one = words_of(manifest(wanted(lines)))
    assert "1 container or loose part; nobody weighed it." in one
    lines("off cable")
    lines("moved part:cable store")
    many = words_of(manifest(wanted(lines)))
    assert "2 containers and loose parts; nobody weighed any of them." in many
    assert not re.search(r"\b0 k?g", one + many)


def test_a_route_card_has_no_empty_columns_and_names_clips_once(lines, words_of):
    """Where an end is, and of which branch, is a column only where it is described."""
    hose = words_of(routes(wanted(lines, runs=(PartId("hose"),))))
    cable = words_of(routes(wanted(lines, runs=(PartId("cable"),))))
    assert "end at note" in hose
    assert "end branch, colours, terminal note" in cable
    bare = vehicle(
        Part(PartId("pipe"), "axle pipe", ZoneId("here"), kind=PartKind.PIPE),
        Run(PartId("pipe"), ends=(RunEnd(JointId("pipe-frame")),),
            clips=(JointId("pipe-frame"), JointId("pipe-frame"))),
        "pipe - frame: 1 pipe nut 3/8-24 UNF", datum="frame",
    )  # fmt: skip
    text = words_of(routes(wanted(Lines(bare))))
    assert "end note" in text
    assert "Clips: 2 × pipe-frame" in text
    assert "Clips: lid-pump" in cable


def test_what_is_counted_as_a_fastener_is_not_ordered_again_as_used_up(lines, words_of):
    """A split pin that a description also has among what is used up stands in one list."""
    pin = Piece(parse("split pin 2.4 mm"), single_use=True)
    joint = Joint(
        JointId("lid-frame"), "lid to frame", (PartId("lid"), PartId("frame")),
        fixings=(Fixing("a", 2, (pin,)),), tool="pliers", zone=ZoneId("here"),
        consumables=(Consumable("split pin 2.4 mm"), Consumable("grease")),
    )  # fmt: skip
    own = Lines(vehicle(Part(PartId("lid"), "lid", ZoneId("here")), joint, datum="frame"))
    own("undone lid-frame 2/2")
    own("off lid")
    follow_rebuild(own.workshop, CAR)
    text = words_of(order_list(wanted(own, is_rebuild=True)))
    assert text.count("split pin 2.4 mm") == 1
    assert in_order(text, "split pin 2.4 mm", "Used up in making joints", "grease")
