"""The card of a job: what whoever does it wants to know."""

from dataclasses import replace

from putback.logbook.entries.rebuilding import Tightness
from putback.planning.plan import Action, Because, Reason, Step
from putback.vehicle.ids import JobId, JointId, PartId, Ref, StandingId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Does, FinalWhen, Fixing, Joint, WhenUndone
from putback.vehicle.opening import Opening
from putback.vehicle.part import MarkNeeded, Part
from putback.vehicle.standing import Standing
from putback.workshop.now.logged_as import logged_as, said_plainly
from putback.workshop.plans.job_card import Deed, job_card, standing_card
from tests.makers import joint, piece, vehicle
from tests.workshop.lines import Lines

HEAD = Joint(
    JointId("head"),
    "head to block",
    (PartId("head"), PartId("block")),
    (
        Fixing("a", 5, (piece("gasket!"), piece("stud nut M10"))),
        Fixing("b", 1, (piece("stud nut M10"), piece("plain washer M10")), head="rearwards"),
    ),
    when_undone=WhenUndone(Does.FALLS, "onto the bench"),
    final_when=FinalWhen.RENIPPED_HOT,
)
ENGINE = vehicle(
    HEAD,
    "pump - block: 2 bolt M6 x 16 & 1 screw M5 x 10; critical",
    "hose - pump: 1 push-on connector",
    Opening("inlet", "pump inlet", "pump", ("pump-block",), 2, "3/8", "plug"),
    Part("pump", "pump", "here", marks=(MarkNeeded("paint", "flange", "top dead centre"),)),
    Standing(StandingId("stands"), "on stands"),
    datum="block",
)


def card(action: Action, what: str, lines: Lines | None = None, **more):
    """The card of a step."""
    state = (lines or Lines(ENGINE)).state
    later = more.pop("later", ())
    return job_card(Step(action, Ref(what), **more), state, later)


def test_pieces_are_counted_by_what_holds():
    """A gasket or a washer in the stack is not what a person counts; unlike kinds are fixings."""
    assert card(Action.UNDO, "joint:head").pieces == "6 stud nuts"
    assert card(Action.UNDO, "joint:pump-block").pieces == "3 fixings"


def test_what_is_out_already_is_not_counted_again():
    """Half undone, the rest is what is left to take out."""
    lines = Lines(ENGINE)
    lines("undone head 4/6 tag=3CAH")
    found = card(Action.UNDO, "joint:head", lines)
    assert (found.out, found.of, found.pieces) == (4, 6, "2 stud nuts")


def test_each_group_of_holes_says_its_stack_and_its_heads():
    """What is used once says that new ones are wanted: later, now, or no more."""
    first, second = card(Action.UNDO, "joint:head").fastenings
    assert first.startswith("5 × gasket (new later) + stud nut M10")
    assert second.endswith("; rearwards")
    made, tight = (card(each, "joint:head").fastenings[0] for each in (Action.MAKE, Action.CHECK))
    assert made.startswith("5 × gasket (new) + stud nut M10")
    assert tight.startswith("5 × gasket + stud nut M10")


def test_nothing_loose_asks_for_no_bag():
    """A push-on connector stays on its hose."""
    assert not card(Action.UNDO, "joint:hose-pump").has_pieces
    assert card(Action.UNDO, "joint:head").has_pieces


def test_hardware_that_matters_is_kept_apart():
    """That of a safety-critical joint."""
    assert card(Action.UNDO, "joint:pump-block").is_exact
    assert not card(Action.UNDO, "joint:head").is_exact


def test_what_lets_go_is_said_before_it_does():
    """Once, and not when the joint is made."""
    assert card(Action.UNDO, "joint:head").drops == "it falls: onto the bench"
    assert card(Action.MAKE, "joint:head").drops == ""
    twice = card(Action.UNDO, "joint:head", cautions=("It falls: onto the bench", "hard hat"))
    assert twice.cautions == ("hard hat",)


def test_what_is_away_lets_go_no_more():
    """The first part named comes away with it; once that is off, a third holds no spring."""
    flies = WhenUndone(Does.FLIES, "the spring is loaded")
    seat = replace(joint("seat = spring - arm - frame"), when_undone=flies)
    lines = Lines(vehicle(seat, "arm - frame", "spring - frame", datum="frame"))
    assert card(Action.UNDO, "joint:seat", lines).drops == "it flies: the spring is loaded"
    lines("off spring")
    assert card(Action.UNDO, "joint:seat", lines).drops == ""


def test_ends_are_closed_where_the_plan_says_so_until_they_are():
    """As so many ends of an opening, to be ticked; other notes stay."""
    lines = Lines(ENGINE)
    notes = ("close 2 ends of pump inlet with plug", "look at the flange")
    found = card(Action.UNDO, "joint:pump-block", lines, notes=notes)
    assert [(end.opening, end.ends, end.closed_with) for end in found.close] == [
        ("inlet", 2, "plug")
    ]
    assert found.first == ("look at the flange",)
    lines("closed 'pump inlet' 1")
    assert card(Action.UNDO, "joint:pump-block", lines, notes=notes).close[0].ends == 1


def test_marks_are_made_once():
    """They are named until one is logged."""
    lines = Lines(ENGINE)
    (mark,) = card(Action.TAKE_OFF, "part:pump", lines).marks
    assert mark.words == "paint at flange, top dead centre"
    lines("mark pump how=paint")
    assert card(Action.TAKE_OFF, "part:pump", lines).marks == ()


def test_why_now_is_what_waits_for_it():
    """What it still holds, and other reasons in their words, each once."""
    head = Ref("joint:head")
    holds = Reason(Because.HOLDS, head, "head still holds it")
    way = Reason(Because.IN_THE_WAY, head, "the head is in the way")
    later = [
        Step(Action.TAKE_OFF, Ref("part:head"), reasons=(holds,)),
        Step(Action.UNDO, Ref("joint:pump-block"), reasons=(way, way)),
    ]
    found = card(Action.UNDO, "joint:head", later=later)
    assert found.why == ("it still holds head", "the head is in the way")


def test_a_tightening_that_waits_is_only_nipped():
    """The final one is a step of its own; where nothing waits it is final at once."""
    assert card(Action.TIGHTEN, "joint:head").tightness is Tightness.NIPPED
    assert card(Action.FINISH, "joint:head").tightness is Tightness.FINAL
    assert card(Action.TIGHTEN, "joint:pump-block").tightness is Tightness.FINAL
    assert card(Action.MAKE, "joint:head").tightness is Tightness.FINGER_TIGHT


def test_a_joint_closed_by_position_waits_only_for_a_job_that_finishes_it():
    """As rule 8 of the rebuild has it."""
    said = "arm - frame: 1 bolt M12 x 60"
    arm = vehicle(said).joints[JointId("arm-frame")]
    by_position = replace(arm, final_when=FinalWhen.LADEN, by_position=True)
    step = Step(Action.TIGHTEN, Ref("joint:arm-frame"))
    assert job_card(step, Lines(vehicle(by_position)).state).tightness is Tightness.FINAL
    job = Job(JobId("laden"), "at laden height", JobKind.TIGHTEN, joints=(arm.id,))
    assert job_card(step, Lines(vehicle(by_position, job)).state).tightness is Tightness.NIPPED


def test_what_nobody_described_still_has_a_card():
    """By its name; its pieces may well come loose."""
    found = card(Action.UNDO, "joint:odd bracket")
    assert (found.deed, found.title, found.of) == (Deed.UNDONE, "odd bracket", 1)
    assert found.has_pieces


def test_a_change_of_standing_is_a_job_too():
    """With what stands in its way, and what to do before anybody goes underneath."""
    found = standing_card(StandingId("stands"), Lines(ENGINE).state, ("crack the wheel first",))
    assert (found.deed, found.title) == (Deed.STOOD, "on stands")
    assert found.cautions == ("crack the wheel first",)
    assert "rock it" in found.first[0]


def test_a_hose_that_is_looked_at_is_prepared_and_no_joint():
    """Logged as the check of a joint it would be of none, and asked for again."""
    found = card(Action.CHECK, "part:pump")
    assert found.deed is Deed.PREPARED
    (entry,) = map(said_plainly, logged_as(found))
    assert (entry["kind"], entry["what"]) == ("prepared", "part:pump")
    assert "travel" in entry["how"]
    assert card(Action.CHECK, "joint:head").deed is Deed.CHECKED
