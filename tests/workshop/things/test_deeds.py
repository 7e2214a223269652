"""What can be said of a thing by a form."""

import pytest

from putback.logbook.entries.registry import KINDS
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.saying.plain import read_plain
from putback.workshop.things.deeds import Ask, Deed, deeds_of_bag, deeds_of_joint, deeds_of_part
from tests.makers import vehicle
from tests.stores import ANN, PHONE
from tests.workshop.lines import CAR, Lines

ABOUT = vehicle("lid - frame: 4 bolt M8 x 20", "pump - frame: 2 bolt M6 x 16; critical")
SAMPLE = {
    Ask.TEXT: "words",
    Ask.LONG: "words",
    Ask.TAG: "k7f4",
    Ask.DAY: "2031-06-01",
    Ask.COUNT: "1",
    Ask.FIGURE: "0.5",
    Ask.TICK: "true",
}
SPECS = {"spec": "washer M8", "torque_nm": "18 lb ft"}


@pytest.fixture
def lines():
    """A lid in a bag with its bolts, a place, a finding."""
    lines = Lines(ABOUT)
    lines.workshop.log(GARAGE, lines.read("place Shelf"), who=ANN, device=PHONE)
    for line in ("undone lid-frame 4/4 tag=3CAH", "off lid tag=3CAH", 'found "cracked" lid'):
        lines(line)
    return lines


def filled(deed: Deed, required_alone: bool) -> dict:
    """A form as somebody fills it in: all of it, or only what must be."""
    entry: dict = {}
    answers = [(path.split("."), value) for path, value in deed.fixed]
    for each in deed.questions:
        if each.required or not required_alone:
            name = each.path.split(".")[-1]
            first = each.options[0][0] if each.ask is Ask.CHOICE else SAMPLE[each.ask]
            value = SPECS.get(name) or each.value or first
            answers.append((each.path.split("."), value))
    for (_, *path), value in answers:
        if not value:
            continue
        at = entry
        for step in path[:-1]:
            at = at.setdefault(step, {})
        if path[-1].endswith("[]"):
            at.setdefault(path[-1][:-2], []).append(value)
        else:
            at[path[-1]] = value
    if isinstance(entry.get("pieces"), dict):
        entry["pieces"] = [entry["pieces"][key] for key in sorted(entry["pieces"], key=int)]
    return entry


def all_deeds(lines: Lines) -> list[Deed]:
    state = lines.state
    return [
        *deeds_of_part(state, "lid"),
        *deeds_of_joint(state, "lid-frame"),
        *deeds_of_joint(state, "pump-frame"),
        *deeds_of_bag(state, "3CAH"),
    ]


@pytest.mark.parametrize("required_alone", [True, False], ids=["least", "all"])
def test_every_form_can_be_logged_as_it_is_filled_in(lines, required_alone):
    """Whatever is left out or filled in, each deed is read as an entry of its kind and logged."""
    for deed in all_deeds(lines):
        said = filled(deed, required_alone)
        if said.get("to") == "tag":  # answers that depend on each other
            said["to_tag"] = "K7F4"
        if "stuck" in said:
            said["stuck"] = "0"  # all are out
        (body,) = read_plain([said])
        assert dict(deed.fixed)["1.kind"] == body.KIND
        lines.workshop.log(CAR, [body], who=ANN, device=PHONE)


def test_every_question_has_a_plain_label(lines):
    """No question shows the name of a field, and no two of one form look alike."""
    fields = {name for body in KINDS.values() for name in body.model_fields if "_" in name}
    for deed in all_deeds(lines):
        labels = [each.label for each in deed.questions]
        assert len(labels) == len(set(labels)), deed.key
        assert not fields & set(labels)
        assert not any("_" in label for label in labels)


def test_what_is_likely_comes_first(lines):
    """A part that is off may be moved, one that is on taken off; a joint undone is to be made."""
    state = lines.state
    assert deeds_of_part(state, "lid")[0].key == "moved"
    assert deeds_of_part(state, "pump")[0].key == "off"
    assert deeds_of_joint(state, "lid-frame")[0].key == "made"
    assert deeds_of_joint(state, "pump-frame")[0].key == "undone"
    assert {each.key for each in deeds_of_part(state, "lid")} == {
        each.key for each in deeds_of_part(state, "pump")
    }


def test_a_count_asks_for_each_fastener_that_is_known_to_be_in_it(lines):
    """Counting a bag begins from what the accounts say, one question a specification."""
    counting = deeds_of_bag(lines.state, "3CAH")[0]
    assert counting.questions[0].label == "bolt M8x1.25 x 20 mm"
    assert counting.questions[0].value == "4"


def test_a_decision_offers_the_finding_that_it_settles(lines):
    """What is open is offered; what was settled is not."""
    (decided,) = [each for each in deeds_of_part(lines.state, "lid") if each.key == "decided"]
    (about,) = [each for each in decided.questions if each.path == "1.about"]
    ((entry, words),) = about.options
    assert words == "cracked"
    lines(f"decided lid reuse about={entry}")
    (decided,) = [each for each in deeds_of_part(lines.state, "lid") if each.key == "decided"]
    assert not [each for each in decided.questions if each.path == "1.about"]
