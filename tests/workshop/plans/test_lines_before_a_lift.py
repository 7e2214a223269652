"""Lines of what is seen free, put off and weighed."""

import pytest

from putback.errors import InputError
from putback.logbook.entries.judging import PutOff
from putback.logbook.entries.working import SeenFree, Weighed
from putback.vehicle.opening import Fluid
from tests.makers import standing, vehicle
from tests.workshop.lines import Lines


@pytest.fixture
def lines():
    """A lid, two wheels and oil."""
    return Lines(
        vehicle(
            "lid - frame: 4 bolt M8 x 20 mm",
            "left wheel - frame",
            "right wheel - frame",
            Fluid("oil", "engine oil", "frame"),
            standing("wheels", "left wheel", "right wheel"),
            standing("jack", "frame"),
        )
    )


def test_a_joint_is_seen_free_before_a_lift(lines):
    """The lift may be left out."""
    assert lines.read("free lid-frame lid") == (SeenFree(joint="lid-frame", before="part:lid"),)
    assert lines.read("free lid-frame") == (SeenFree(joint="lid-frame"),)


def test_a_job_is_put_off_with_its_reason(lines):
    """A reason of two words has a hyphen, or quotes."""
    assert lines.read("not-now lid no-helper until=2031-06-01 note='by two'") == (
        PutOff(what="part:lid", why="no helper", until="2031-06-01", note="by two"),
    )
    assert lines.read("not-now joint:lid-frame 'No tool'")[0].why == "no tool"


def test_a_weighing_says_by_itself_what_was_off_and_out(lines):
    """Both come from the logbook, and the standing too; what is given wins."""
    lines("off lid")
    lines("drained oil")
    lines("standing wheels")
    (said,) = lines.read("weighed front-axle=512 Rear-Axle='1102 lb' uncertainty=2")
    assert said == Weighed(
        loads_kg={"front axle": 512, "rear axle": 1102 * 0.45359237},
        standing="wheels",
        uncertainty_kg=2,
        off=("lid",),
        fluids_out=("oil",),
    )  # 1 lb = 0.45359237 kg, NIST SP 811
    (said,) = lines.read("weighed front-axle=512 off='left wheel' off=lid standing=jack")
    assert (said.off, said.standing) == (("left wheel", "lid"), "jack")


def test_a_load_goes_by_its_support_or_by_what_it_carries(lines):
    """Whether the standing is said before or after it."""
    supports = {each.bears_on: each.id for each in lines.about.standings["wheels"].supports}
    left = supports["left wheel"]
    assert lines.read(f"weighed {left}=240 standing=wheels")[0].loads_kg == {left: 240}
    assert lines.read("weighed left-wheel=240 standing=wheels")[0].loads_kg == {left: 240}


def test_a_load_of_a_support_wants_to_know_how_it_stands(lines):
    """It is said what to say, for nobody knows of which standing it is."""
    with pytest.raises(InputError) as caught:
        lines.read("weighed wheels-1=240")
    assert "say that too: standing=wheels" in str(caught.value)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("weighed", "nothing was weighed; say front-axle=512, or a support and its load"),
        ("weighed loads=5", "no support or axle 'loads'"),
        ("weighed left-wheel=240", "no support or axle 'left-wheel'"),
        ("weighed front-axel=240", "no support or axle 'front-axel'; did you mean 'front axle'?"),
        ("weighed front-axle=1 'front axle'=2", "front axle: front axle has two loads"),
        ("weighed front-axle=heavy", "cannot read 'heavy' as a mass"),
        ("weighed front-axle=-3", "cannot read '-3' as a mass"),
        ("weighed front-axle=3 lid", "weighed: 'lid' is one word too many"),
        ("free lid-frame oil", "no part or assembly 'oil'"),
        ("not-now oil stuck", "no part, joint, job or assembly 'oil'"),
        ("not-now lid", "not-now: why is missing"),
        ("not-now lid bored", "not-now: why: 'bored' is none of 'stuck', 'no part',"),
        ("not-now lid stuck until=Saturday", "until: 'Saturday' is no day"),
    ],
)
def test_faults_are_told_in_plain_words(lines, line, said):
    """What is wrong, and how to mend it."""
    with pytest.raises(InputError) as caught:
        lines.read(line)
    assert str(caught.value).startswith(said)
