"""The form of who works when: what is kept fills it, and what is wrong stands beside its field."""

from datetime import date

import pytest
from django.utils.datastructures import MultiValueDict

from putback.web.pages.hours_form import kept_form, read_form
from putback.workshop.plans.wishes import Wishes

KINDS = ("bleed", "set", "lifting parts")
ALL = Wishes(
    persons=("Ann: Sat 9-17", "Bob"),
    skills=("Ann: bleed, lifting parts",),
    begin=date(2032, 1, 10),
    due=date(2032, 3, 1),
    lead_days=14.5,
    hoists=2,
    benches=3,
    away=("Ann: 2032-02-01 13:30 to 2032-02-08 09:00", "Ann: 2032-02-20 13:00-17:00"),
    shut=("2032-01-24 to 2032-01-26", "2032-01-30 12:00"),
    hoist_lent=("2032-01-12", "2032-01-12 to 2032-01-13"),
)
TODAY = date(2032, 1, 2)


def sent(**fields: str) -> MultiValueDict[str, str]:
    """What a browser sends; ``_`` stands for the hyphen of a row's field."""
    said = MultiValueDict()
    for name, value in fields.items():
        field = name.replace("_", "-") if any(each.isdigit() for each in name) else name
        said.setlist(field, value.split("|"))
    return said


def test_what_is_kept_fills_the_form_and_comes_back_from_it():
    """With an empty row for somebody more."""
    form = kept_form(ALL, KINDS, TODAY)
    assert [each.name.value for each in form.persons] == ["Ann", "Bob", ""]
    assert form.persons[0].skills == ("bleed", "lifting parts")
    spans = {"shut": form.shut, "lent": form.lent, "away_1": form.persons[0].away}
    assert [len(each) for each in spans.values()] == [3, 3, 3]
    typed = sent(
        **{f"{of}_{e.number}_from": e.first.value for of, rows in spans.items() for e in rows},
        **{f"{of}_{e.number}_until": e.last.value for of, rows in spans.items() for e in rows},
        **{f"{of}_{e.number}_since": e.since.value for of, rows in spans.items() for e in rows},
        **{f"{of}_{e.number}_till": e.until.value for of, rows in spans.items() for e in rows},
        **{f"name_{each.number}": each.name.value for each in form.persons},
        **{f"hours_{each.number}": each.hours.value for each in form.persons},
        skills_1="bleed|lifting parts|no such kind",
        hoists=form.hoists.value,
        benches=form.benches.value,
        begin=form.begin.value,
        due=form.due.value,
        lead_days=form.lead_days.value,
    )
    again, wishes = read_form(typed, KINDS)
    assert not again.is_wrong
    assert wishes == ALL
    assert again == form


def test_what_was_said_at_a_prompt_is_shown_by_the_name_it_goes_by():
    """So many people with the same hours are a row each; hours for all are each one's."""
    form = kept_form(Wishes(people=2, hours="Mon 8-9", skills=("person 2: set",)), KINDS, TODAY)
    told = [(each.name.value, each.hours.value, each.skills) for each in form.persons]
    assert told == [("person 1", "Mon 8-9", ()), ("person 2", "Mon 8-9", ("set",)), ("", "", ())]
    form = kept_form(Wishes(persons=("Ann", "Bob: Sat 9-17"), hours="Mon 8-9"), KINDS, TODAY)
    assert [each.hours.value for each in form.persons] == ["Mon 8-9", "Sat 9-17", ""]
    form = kept_form(Wishes(hours="Mon 8-9"), KINDS, TODAY)
    assert [each.name.value for each in form.persons] == ["you", ""]


def test_nothing_typed_is_what_is_usual():
    """Two rows to begin with."""
    form, wishes = read_form(sent(), KINDS)
    assert (form.is_wrong, wishes) == (False, Wishes())
    assert len(form.persons) == 2
    assert kept_form(Wishes(), KINDS, TODAY) == form


def test_days_gone_by_leave_the_form():
    """What is over is not shown, nor kept again; what goes on is."""
    said = Wishes(away=("you: 2031-12-24 to 2032-01-02", "you: 2031-11-01"), shut=("2031-10-10",))
    form = kept_form(said, KINDS, TODAY)
    assert [each.words for each in form.persons[0].away] == ["2031-12-24 to 2032-01-02", ""]
    assert [each.words for each in form.shut] == [""]


def test_a_row_left_empty_closes_up():
    """And more rows than are read are left away."""
    names = {f"name_{number}": f"Person {number}" for number in range(2, 20)}
    form, wishes = read_form(sent(**names), KINDS)
    assert [each.number for each in form.persons] == list(range(1, 13))
    assert len(wishes.persons) == 11
    assert wishes.persons[0] == "Person 2"


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"hours_1": "Sat 9-17"}, "name", "say who works then"),
        ({"skills_1": "bleed"}, "name", "say who works then"),
        ({"name_1": "Ann: Sat"}, "name", "a name has no colon"),
        ({"name_1": "Ann", "hours_1": "when it rains"}, "hours", "are no hours of work; write"),
        (
            {"hoists": "none"},
            "hoists",
            "“none” cannot be how many hoists there are; write a number from 1",
        ),
        ({"hoists": "0"}, "hoists", "cannot be how many hoists"),
        ({"benches": "0"}, "benches", "“0” cannot be how many benches there are; write a number"),
        ({"shut_1_from": "someday"}, "shut", "“someday” is no day"),
        ({"shut_2_until": "2032-01-02"}, "shut", "say the first day too"),
        (
            {"shut_1_from": "2032-01-03", "shut_1_until": "2032-01-02"},
            "shut",
            "the last day is before the first",
        ),
        (
            {"lent_1_from": "2032-01-03", "lent_1_until": "2035-01-02"},
            "lent",
            "this is longer than two years; give at most two years at a time",
        ),
        (
            {"lent_1_from": "2032-01-03", "lent_2_from": "2032-01-03"},
            "lent",
            "more hoists are lent",
        ),
        ({"away_1_1_from": "2032-01-03"}, "name", "say who works then"),
        ({"shut_1_since": "13:00"}, "shut", "say the first day too"),
        ({"shut_1_from": "20320103"}, "shut", "“20320103” is no day"),
        ({"due": "9999-12-31"}, "due", "the year 9999 is too far off; look at the year"),
        (
            {"shut_1_from": "2032-01-03", "shut_1_till": "noon"},
            "shut",
            "“noon” is no time of the day; write a time, as in: 13:30",
        ),
        (
            {"shut_1_from": "2032-01-03", "shut_1_since": "13:00", "shut_1_till": "9:30"},
            "shut",
            "it ends before it begins; give the earlier time first",
        ),
        ({"name_1": "Ann", "away_1_1_from": "2032"}, "away", "“2032” is no day"),
        ({"lead_days": "-1"}, "lead_days", "“-1” cannot be read as so many days; write a number"),
        ({"lead_days": "99999"}, "lead_days", "write at most 1000"),
        ({"begin": "soon"}, "begin", "“soon” is no day; write it as in: 2031-05-02"),
        ({"due": "2031-02-30"}, "due", "“2031-02-30” is no day"),
        ({"begin": "2032-01-02", "due": "2032-01-01"}, "due", "before the first day of work"),
    ],
)
def test_what_cannot_be_meant_is_told_beside_its_field(typed, field, said):
    """And stays as it was typed."""
    form, _ = read_form(sent(**typed), KINDS)
    at = getattr(form.persons[0] if field in ("name", "hours", "away") else form, field)
    assert form.is_wrong
    rows = at if isinstance(at, tuple) else (at,)
    assert said in "; ".join(each.fault for each in rows if each.fault)
    for name, value in typed.items():
        assert name.startswith("skills") or value in str(form)


def test_a_time_that_cannot_be_is_told_at_the_time_and_a_day_at_the_day():
    """So that the field is marked that is to be mended."""
    noon = {"shut_1_from": "2032-01-03", "shut_1_since": "13:00", "shut_1_till": "12:00"}
    (row, _) = read_form(sent(**noon), KINDS)[0].shut
    assert (row.until.fault[:17], row.last.fault) == ("it ends before it", "")
    (row, _) = read_form(sent(**noon, shut_1_until="2032-01-02"), KINDS)[0].shut
    assert (row.until.fault, row.last.fault[:12]) == ("", "the last day")


def test_two_of_one_name_cannot_be_told_apart():
    """The second is asked for another."""
    form, _ = read_form(sent(name_1="Ann", name_2="ann"), KINDS)
    assert [each.name.fault for each in form.persons[:2]] == [
        "",
        "somebody of this name works already",
    ]
