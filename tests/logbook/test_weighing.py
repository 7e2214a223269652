"""Weighings: statics decide what a load says, least squares what it changes, and a lie is told."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import lstsq

from putback.bench.statics import loads_kg
from putback.logbook.state import Weighing
from putback.logbook.weighing import LEAST_SCALES_KG, weighed
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.goal import Goal
from putback.vehicle.ids import StandingId
from putback.vehicle.joint import Joint
from putback.vehicle.masses import DESCRIBED_PLACE_M, DESCRIBED_SHARE, GUESSED_SHARE
from putback.vehicle.opening import Fluid
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import said, state_of, table

WHEELS = StandingId("wheels")
CORNERS = {"fl": (0.0, -0.6), "fr": (0.0, 0.6), "rl": (2.0, -0.6), "rr": (2.0, 0.6)}
TRIPOD = {"nose": (0.0, 0.0), "rl": (2.0, -0.6), "rr": (2.0, 0.6)}


def cart(*parts: Part, feet=CORNERS, base: float | None = 2.0) -> Vehicle:
    """A cart of these parts on these feet, with a keg of ale at the back."""
    return Vehicle(
        About("cart", "cart", wheelbase_m=base),
        parts=table(*parts),
        fluids=table(Fluid("ale", "ale", "keg", mass_kg=20.0, cg_m=(1.8, 0.1, 0.5))),
        standings=table(
            Standing(
                WHEELS,
                "on its wheels",
                tuple(Support(name, "wheel", "bed", at) for name, at in feet.items()),
            )
        ),
    )


BED = Part("bed", "bed", "all", mass_kg=100.0, cg_m=(0.9, 0.0, 0.4))
BOX = Part("box", "box", "all", cg_m=(0.3, 0.2, 0.8))
KEG = Part("keg", "keg", "all", mass_kg=10.0, cg_m=(1.8, 0.1, 0.5))


def read(loads, **other) -> Weighing:
    """A weighing by good scales."""
    return Weighing(said(), loads, **{"standing": WHEELS, "uncertainty_kg": 0.1} | other)


def totals(hefts, off=(), out=()):
    """Mass [kg] and moments along x and y [kg·m] of what is on."""
    on = [heft for part, heft in hefts.parts.items() if part not in off]
    on += [heft for fluid, heft in hefts.fluids.items() if fluid not in out]
    masses = np.array([heft.mass_kg for heft in on])
    return masses.sum(), masses @ [h.cg_m[0] for h in on], masses @ [h.cg_m[1] for h in on]


# -- what was weighed comes out ---------------------------------------------------------------


def test_without_a_weighing_nothing_is_changed():
    """What was described and guessed stands."""
    found = weighed(cart(BED, BOX, KEG))
    assert found.hefts is found.prior
    assert (found.ties, found.verdicts) == ({}, ())


def test_an_unknown_mass_is_found_by_the_axles():
    """A box of 55 kg that was guessed at 2 comes out where exact sums put it, and is surer."""
    vehicle = cart(BED, replace(BOX, mass_kg=None), KEG)
    mass, along = 100 + 55 + 10 + 20, 100 * 0.9 + 55 * 0.3 + 30 * 1.8
    axles = {"rear axle": along / 2, "front axle": mass - along / 2}
    wide = replace(vehicle.parts["box"], quantity=20)  # twenty boxes, guessed at 40 ± 20 kg
    vehicle = vehicle.with_records(parts=table(BED, wide, KEG))
    found = weighed(vehicle, [read(axles)])
    box = found.hefts.parts["box"]
    assert box.mass_kg == pytest.approx(55, abs=5)
    assert box.mass_sigma_kg < found.prior.parts["box"].mass_sigma_kg / 2
    got = totals(found.hefts)
    assert got[0] == pytest.approx(mass, abs=0.05)
    assert got[1] == pytest.approx(along, abs=0.2)
    assert found.verdicts[0].off_by < 3


def test_a_height_is_not_corrected_and_left_and_right_need_wheels():
    """Level scales tell nothing of z, and axles nothing of y; wheel loads do."""
    vehicle = cart(BED, BOX, KEG)
    total = sum(totals(weighed(vehicle).prior)[:1])
    axles = {"front axle": total * 0.6, "rear axle": total * 0.5}
    by_axle = weighed(vehicle, [read(axles)])
    for part, heft in by_axle.hefts.parts.items():
        was = by_axle.prior.parts[part]
        assert heft.cg_m[1:] == pytest.approx(was.cg_m[1:])
        assert heft.cg_sigma_m[2] * heft.mass_kg == pytest.approx(was.cg_sigma_m[2] * was.mass_kg)
    wheels = loads_kg(total, (1.0, 0.1), list(CORNERS.values()))
    by_wheel = weighed(vehicle, [read(dict(zip(CORNERS, wheels, strict=True)))])
    assert totals(by_wheel.hefts)[2] / total == pytest.approx(0.1, abs=0.01)


def test_what_was_off_and_out_is_not_corrected():
    """A weighing without the box and the ale says nothing of them."""
    vehicle = cart(BED, BOX, KEG)
    found = weighed(
        vehicle, [read({"front axle": 70, "rear axle": 60}, off=("box",), fluids_out=("ale",))]
    )
    assert found.hefts.parts["box"] == found.prior.parts["box"]
    assert found.hefts.fluids["ale"] == found.prior.fluids["ale"]
    assert totals(found.hefts, off={"box"}, out={"ale"})[0] == pytest.approx(130, abs=0.3)


def test_two_weighings_tell_a_part_by_the_difference():
    """With the box on and with it off: the difference is the box."""
    many = replace(BOX, quantity=10)  # guessed at 20 ± 10 kg
    vehicle = cart(BED, many, KEG)
    with_box = read({"front axle": 110.0, "rear axle": 55.0})
    without = read({"front axle": 82.8, "rear axle": 50.2}, off=("box",))
    box = weighed(vehicle, [with_box, without]).hefts.parts["box"]
    assert box.mass_kg == pytest.approx(32.0, abs=0.4)
    assert box.mass_sigma_kg < 0.4


# -- what statics decide ----------------------------------------------------------------------


def test_one_axle_alone_says_something_and_one_wheel_of_four_nothing():
    """Moments about the other axle decide an axle; the load of one wheel hangs on the springs."""
    vehicle = cart(BED, BOX, KEG)
    assert weighed(vehicle, [read({"rear axle": 70})]).ties
    alone = weighed(vehicle, [read({"rl": 30.0})])
    assert alone.ties == {}
    assert alone.verdicts[0].off_by is None
    assert alone.verdicts[0].words.startswith("these loads alone decide nothing")
    assert weighed(vehicle, [read({"rl": 30.0, "rr": 30.0})]).ties


def test_axles_without_a_wheelbase_tell_the_mass_and_how_surely():
    """Two measurements of one mass: their mean by inverse variances, and what is left of doubt.

    J. R. Taylor, An Introduction to Error Analysis, 2nd ed. 1997, 7.2, and his example in 7.3:
    resistances of 11 ± 1, 12 ± 1 and 10 ± 3 Ω are 11.42 ± 0.69 Ω together (from memory).
    """
    lump = Part("lump", "lump", "all", mass_kg=20.0)
    vehicle = Vehicle(About("cart", "cart"), parts=table(lump))
    assert lump.mass_kg * DESCRIBED_SHARE == 1.0
    shift = 20 - 11  # all is heavier by 9 than the example's, so that 5 % of it are 1
    second = read(
        {"front axle": 7 + shift, "rear axle": 5.0}, standing=None, uncertainty_kg=0.5**0.5
    )
    third = read(
        {"front axle": 4 + shift, "rear axle": 6.0}, standing=None, uncertainty_kg=4.5**0.5
    )
    found = weighed(vehicle, [second, third])
    heft = found.hefts.parts["lump"]
    assert heft.mass_kg - shift == pytest.approx(11.42, abs=0.005)
    assert heft.mass_sigma_kg == pytest.approx(0.69, abs=0.005)
    assert heft.cg_m == found.prior.parts["lump"].cg_m
    words = found.verdicts[0].words
    assert words == (
        "in all 21 kg, 20 ± 3 expected; without the wheelbase they tell the mass alone, "
        "not where it lies"
    )
    assert not found.verdicts[0].tells_place
    assert weighed(cart(BED), [read({"front axle": 60, "rear axle": 40})]).verdicts[0].tells_place
    one = weighed(vehicle, [read({"front axle": 16.0}, standing=None)])
    assert (one.hefts, one.verdicts[0].off_by) == (one.prior, None)


def test_one_foot_of_three_says_something():
    """On a tripod statics alone decide every load."""
    vehicle = cart(BED, BOX, KEG, feet=TRIPOD)
    found = weighed(vehicle, [read({"nose": 75.0})])
    mass, along, _ = totals(found.hefts)
    assert mass - along / 2 == pytest.approx(75.0, abs=0.1)


@pytest.mark.parametrize(
    ("loads", "standing", "words"),
    [
        ({"rl": 30.0}, None, "nobody said on which supports it stood, nor the wheelbase"),
        ({"kitchen": 30.0}, WHEELS, "it does not stand on kitchen there"),
    ],
)
def test_a_weighing_that_cannot_be_used_says_why(loads, standing, words):
    """No place, no statics."""
    found = weighed(cart(BED), [read(loads, standing=standing)])
    assert found.verdicts[0].words == words
    assert not found.verdicts[0].contradicts


def test_a_weighing_against_the_description_is_told():
    """Half as much again as described is no scatter: somebody misread, or a mass is wrong."""
    vehicle = cart(BED, replace(BOX, mass_kg=10.0), KEG)
    fair = weighed(vehicle, [read({"front axle": 70.0, "rear axle": 72.0})]).verdicts[0]
    wild = weighed(vehicle, [read({"front axle": 110.0, "rear axle": 110.0})]).verdicts[0]
    assert not fair.contradicts
    assert wild.contradicts
    assert wild.words.startswith("it contradicts what is described: ")


def test_the_demo_weighed_as_described_keeps_its_masses():
    """Loads that agree with the description change nothing but how sure it is."""
    vehicle = demo_vehicle()
    mass, along, _ = totals(weighed(vehicle).prior)
    rear = along / vehicle.about.wheelbase_m
    found = weighed(
        vehicle, [Weighing(said(), {"front axle": mass - rear, "rear axle": rear}, None, 2.0)]
    )
    for part, heft in found.hefts.parts.items():
        assert heft.mass_kg == pytest.approx(found.prior.parts[part].mass_kg)
    body = found.hefts.parts["BS01"], found.prior.parts["BS01"]
    assert body[0].mass_sigma_kg < body[1].mass_sigma_kg
    assert found.verdicts[0].off_by == pytest.approx(0, abs=1e-6)


# -- least squares ----------------------------------------------------------------------------

places = st.tuples(*(st.floats(-1, 3).map(lambda metres: round(metres, 2)) for _ in "xyz"))
KINDS = (PartKind.PART, PartKind.GLASS)
parts_of = st.lists(
    st.tuples(st.one_of(st.none(), st.floats(1, 200)), st.one_of(st.none(), places)),
    min_size=1,
    max_size=6,
)
loads_of = st.lists(st.floats(20, 300), min_size=4, max_size=4)


@given(parts_of, st.lists(st.tuples(loads_of, st.sets(st.integers(0, 5))), min_size=1, max_size=3))
def test_it_is_the_least_squares_of_the_whitened_stack(parts, weighings):
    """scipy.linalg.lstsq on prior and readings, each over its uncertainty, finds the same.

    Its unknowns are how many standard uncertainties each mass that is described, each kind's usual
    mass and each moment is off by.
    """
    records = [
        Part(f"p{n}", "part", "all", mass_kg=mass, cg_m=at, kind=KINDS[n % 2])
        for n, (mass, at) in enumerate(parts)
    ]
    vehicle = cart(*records)
    read_so = [
        read(
            dict(zip(CORNERS, loads, strict=True)),
            off=tuple(f"p{n}" for n in off),
            uncertainty_kg=1.0,
        )
        for loads, off in weighings
    ]
    found = weighed(vehicle, read_so)
    prior = list(found.prior.parts.values())
    offs = []  # what each unknown changes of mass, moment along x, moment along y of each part
    for n, heft in enumerate(prior):
        for at, sigma in enumerate((heft.mass_sigma_kg, *heft.cg_sigma_m[:2])):
            if at or records[n].mass_kg is not None:
                offs.append(np.zeros((len(prior), 3)))
                offs[-1][n, at] = sigma * (heft.mass_kg if at else 1.0)
    for kind in KINDS:
        offs.append(np.zeros((len(prior), 3)))
        for n, record in enumerate(records):
            if record.mass_kg is None and record.kind is kind:
                offs[-1][n, 0] = GUESSED_SHARE * prior[n].mass_kg
    spread = np.array(offs).reshape(len(offs), -1).T
    known = np.array([(heft.mass_kg, 0.0, 0.0) for heft in prior]).ravel()
    rows, wanted = [np.eye(len(offs))], [np.zeros(len(offs))]
    feet = np.array([[1.0] * 4, *zip(*CORNERS.values(), strict=True)])
    noise = np.linalg.inv(np.linalg.cholesky(feet @ feet.T))
    for loads, off in weighings:
        there = [float(n not in off) for n in range(len(prior))]
        columns = [
            on * np.array(column)
            for on, heft in zip(there, prior, strict=True)
            for column in ((1, *heft.cg_m[:2]), (0, 1, 0), (0, 0, 1))
        ]
        reads = noise @ np.array(columns).T
        rows.append(reads @ spread)
        wanted.append(noise @ feet @ np.array(loads) - reads @ known)
    stack = np.vstack(rows)
    solved = known + spread @ lstsq(stack, np.concatenate(wanted))[0]
    masses = [heft.mass_kg for heft in found.hefts.parts.values()]
    assert LEAST_SCALES_KG < 1.0
    for n, mass in enumerate(masses):
        if solved[3 * n] > 1e-6:
            assert mass == pytest.approx(solved[3 * n], rel=1e-5, abs=1e-5)
    sure = np.sqrt(np.diag(spread @ np.linalg.inv(stack.T @ stack) @ spread.T))
    for n, heft in enumerate(found.hefts.parts.values()):
        assert heft.mass_sigma_kg == pytest.approx(sure[3 * n], rel=1e-4, abs=1e-6)


def test_masses_guessed_by_one_figure_are_corrected_by_one_share():
    """Unknown boxes of 1, 2 and 5 pieces: the scales say by how much the figure is off."""
    boxes = [replace(BOX, id=f"b{n}", quantity=n) for n in (1, 2, 5)]
    vehicle = cart(BED, *boxes, KEG)
    mass, along = 130 + 8 * 3.0, 100 * 0.9 + 30 * 1.8 + 8 * 3.0 * 0.3
    axles = {"rear axle": along / 2, "front axle": mass - along / 2}
    found = weighed(vehicle, [read(axles)])
    shares = [found.hefts.parts[b.id].mass_kg / found.prior.parts[b.id].mass_kg for b in boxes]
    assert shares == pytest.approx([shares[0]] * 3)
    assert shares[0] == pytest.approx(1.5, abs=0.3)


def test_conventions_of_uncertainty():
    """A guess is far less sure than a description."""
    vehicle = cart(BED, BOX)
    prior = weighed(vehicle).prior
    bed, box = prior.parts["bed"], prior.parts["box"]
    assert bed.mass_sigma_kg == DESCRIBED_SHARE * 100
    assert box.mass_sigma_kg == GUESSED_SHARE * box.mass_kg
    assert bed.cg_sigma_m == (DESCRIBED_PLACE_M,) * 3


def test_a_plan_says_at_its_first_step_that_a_weighing_contradicts():
    """Strip and rebuild: margins and lifts were worked out with masses that the scales deny."""
    goal = Goal("bare", "bare bed", "bed", off=("box",), on=("bed",))
    joint = Joint("strap", "strap", ("box", "bed"))
    car = cart(BED, replace(BOX, mass_kg=5.0), KEG).with_records(
        joints=table(joint), goals=table(goal)
    )
    wild = read(dict.fromkeys(CORNERS, 200.0))
    state = replace(state_of(car), weighings=(wild,))
    plan = plan_strip(car, state, goal)
    assert plan.steps[0].cautions[0].startswith("a weighing contradicts what is described (")
    assert not any("weighing" in each for step in plan.steps[1:] for each in step.cautions)
    apart = replace(state_of(car, off=("box",), undone=("strap",)), weighings=(wild,))
    rebuilt = plan_rebuild(car, apart)
    assert rebuilt.steps[0].cautions[0].startswith("a weighing contradicts what is described (")
    quiet = plan_strip(car, state_of(car), goal)
    assert not any("weighing" in each for step in quiet.steps for each in step.cautions)
