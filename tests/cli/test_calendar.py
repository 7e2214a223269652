"""The calendar on the command line: who does what when, when all is done, what to chase."""

import re
from shlex import quote

COMMANDS = ("schedule", "risk")
MINUTES = quote('minutes={"best": 10, "likely": 15, "worst": 40}')


def test_the_calendar_is_told_and_what_was_taken_for_granted(blank):
    """Two boxes to put back: a day, who, and the hours that nobody gave."""
    blank.ok("log off radiator --new")
    blank.ok("log off fan --new")
    blank.ok(f"describe parts fan {MINUTES}")
    out = blank.ok("schedule --seconds 0.5")
    assert "Calendar of the rebuild" in out
    assert "If all goes as reckoned, done " in out
    assert "1 step has no minutes and counts as nothing" in out
    assert "the hours are Sat 9-17, Wed 18-21 (--hours)" in out


def test_one_person_alone_is_told_to_ask_a_second_in(blank):
    """Of what is critical; not where two are there."""
    blank.ok("log undone hub --new")
    blank.ok(f"describe joints hub critical=true {MINUTES}")
    alone = "1 check wants a second person, and nobody is there but who did the work"
    assert alone in blank.ok("schedule --people 1 --seconds 0.5")
    assert "a second person" not in blank.ok("schedule --people 2 --seconds 0.5")


def test_risk_gives_three_days_and_json(blank):
    """As a sentence, and as a record for programs."""
    blank.ok("log off radiator --new")
    blank.ok(f"describe parts radiator {MINUTES}")
    out = blank.ok("risk --people 2 --hours 'Mon-Fri 8-12' --runs 200")
    assert "Even chance by " in out
    assert "taken for granted" not in out.lower()
    answer = blank(line="risk --person 'Ann: Sat 9-12' --runs 200 --json").json
    assert answer["forecast"]["runs"] == 200
    assert answer["timetable"]["people"][0]["name"] == "Ann"


def test_hours_nobody_can_read_are_refused(blank):
    """In one sentence, with how to write them."""
    blank.ok("log off radiator --new")
    assert "write days and hours" in blank.refused(line="schedule --hours whenever")
    assert "gives nobody a skill" in blank.refused(line="schedule --skill 'Bob: bleed'")
    wrong = blank.refused(line="schedule --person Ann --skill 'Ann: bleed, blead'")
    assert "no work here is “blead”; kinds of work are " in wrong


def test_days_nobody_can_read_are_refused(blank):
    """With how to write them; a year that was mistyped is no fault of the program."""
    blank.ok("log off radiator --new")
    for command in ("schedule --from", "risk --due"):
        assert "“01.02.2027” is no day; write it as in: 2031-05-02" in blank.refused(
            line=f"{command} 01.02.2027"
        )
        assert "the year 9999 is too far off" in blank.refused(line=f"{command} 9999-12-31")


def test_who_works_when_is_kept_for_the_next_time(blank):
    """What is said once need not be said again, until it is said otherwise."""
    blank.ok("log off radiator --new")
    blank.ok(f"describe parts radiator {MINUTES}")
    said = "schedule --person 'Ann: Sat 9-12' --hoists 2 --keep --seconds 0.5"
    assert "the hours are" not in blank.ok(said)
    kept = blank(line="schedule --seconds 0.5 --json").json["timetable"]
    assert [each["name"] for each in kept["people"]] == ["Ann"]
    assert kept["few"]["hoist"] == 2
    other = blank(line="schedule --people 2 --seconds 0.5 --json").json["timetable"]
    assert len(other["people"]) == 2
    assert "“when” are no hours" in blank.refused(line="schedule --hours when --keep")


def test_what_is_out_is_waited_for(blank):
    """Until the day for which it is promised; a program reads that day as well."""
    blank.ok("log off radiator --new")
    blank.ok(f"describe parts radiator {MINUTES}")
    blank.ok("log sent radiator 'the plater' due=2091-01-05")
    said = "--hours 'daily 8-18' --runs 200"
    out = blank.ok(f"risk {said}")
    assert "radiator: the plater, expected Fri 5 Jan 2091" in out
    for command in (f"risk {said}", "schedule --hours 'daily 8-18'"):
        table = blank(line=f"{command} --json").json["timetable"]
        assert table["arrivals"][0]["expected"] == "2091-01-05"
        assert table["finish"].startswith("2091-01-06T08:")


def test_days_away_due_and_benches_are_said_and_told(blank):
    """They are kept and told, and none any more at a word; a program reads whether it is late."""
    blank.ok("log off radiator --new")
    blank.ok(f"describe parts radiator {MINUTES}")
    said = (
        "schedule --person Ann --person Bob --hours 'daily 8-18' --from 2091-01-01"
        " --due 2091-01-02 --shut '2091-01-01 to 2091-01-03' --benches 1"
        " --away 'Bob: 2091-01-04 7-18:30' --hoist-lent 2091-01-04 --keep --seconds 0.5"
    )
    out = blank.ok(said)
    assert "done Thu 4 Jan 2091" in out
    assert "That is after Tue 2 Jan 2091." in out
    assert "Nobody works from Monday, 1 Jan 2091 to Wednesday, 3 Jan 2091." in out
    assert "Bob is away on Thursday, 4 Jan 2091, 07:00 to 18:30." in out
    assert "1 hoist less is there on Thursday, 4 Jan 2091." in out
    answer = blank(line="schedule --seconds 0.5 --json").json
    assert (answer["due"], answer["is_late"]) == ("2091-01-02", True)
    assert answer["timetable"]["people"][1]["away"] == [
        {"begins": "2091-01-01T00:00:00", "ends": "2091-01-04T00:00:00"},
        {"begins": "2091-01-04T07:00:00", "ends": "2091-01-04T18:30:00"},
    ]
    assert answer["timetable"]["few"]["bench"] == 1
    assert answer["timetable"]["lent"][0]["thing"] == "hoist"
    open_again = "schedule --shut none --away none --hoist-lent none --seconds 0.5"
    out = blank.ok(open_again)
    assert "done Mon 1 Jan 2091" in out
    assert "That is in time for Tue 2 Jan 2091." in out
    assert "“Christmas” are no days; write a day" in blank.refused(line="risk --shut Christmas")
    assert "says of nobody" in blank.refused(line="schedule --away 'Eve: 2091-01-01'")


def test_without_any_minutes_no_day_is_told(blank):
    """A sum of nothing is no day; the line that it names mends it."""
    blank.ok("log off radiator --new")
    for command in ("schedule --due 2090-01-01", "risk --due 2090-01-01 --runs 200"):
        out = blank.ok(command)
        assert "No job has minutes yet, so no day can be told." in out
        for word in ("done ", "Even chance", "20", "%", "in time"):
            assert word not in out
        answer = blank(line=f"{command} --json").json
        assert answer["is_timed"] is False
        for field in ("timetable", "optimal", "gap", "forecast"):
            assert answer.get(field) is None
    mend = blank.ok("schedule").split("putback ")[-1].strip()
    blank.ok(mend)
    assert "If all goes as reckoned, done " in blank.ok("schedule --seconds 0.5")
    answer = blank(line="risk --runs 200 --json").json
    assert answer["is_timed"] is True
    assert answer["forecast"]["runs"] == 200


def test_both_commands_take_the_same_options(blank):
    """Each of them besides those of its own; what is said by one of them reaches the calendar."""
    own = {"--all", "--runs"}
    told = [set(re.findall(r"--[a-z-]+", blank.ok(f"{each} --help"))) for each in COMMANDS]
    assert told[0] ^ told[1] == own
    assert len(told[0] & told[1]) >= 16
