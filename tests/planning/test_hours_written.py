"""Hours and absences as people write them, and as nobody can read them."""

import pytest

from putback.errors import BadInput
from putback.planning.timetable import read_absences, read_hours


@pytest.mark.parametrize(
    ("words", "stretches"),
    [
        ("Sat 9-17", ((5 * 1440 + 540, 5 * 1440 + 1020),)),
        ("Wed 18-21:30, mon 8:15-9", ((495, 540), (2 * 1440 + 1080, 2 * 1440 + 1290))),
        ("Mon 8-12, Mon 11-13", ((480, 780),)),
        (
            "Sat-Mon 10-11",
            ((600, 660), (5 * 1440 + 600, 5 * 1440 + 660), (8640 + 600, 8640 + 660)),
        ),
        ("Saturday 0-24, Sunday 0-24", ((5 * 1440, 7 * 1440),)),
        ("Mo 0-1, Di 1-2", ((0, 60), (1500, 1560))),
        ("Sa 9-17, so 0-24, Dienstag 1-2, Mi-Fr 3-4", "Sat 9-17, Sun 0-24, Tue 1-2, Wed-Fri 3-4"),
    ],
)
def test_hours_as_people_write_them(words, stretches):
    """Days, spans of days, hours and minutes; what touches is one; in German as in English."""
    same = read_hours(stretches) if isinstance(stretches, str) else stretches
    assert read_hours(words) == same


def test_absences_as_people_write_them():
    """Days, parts of one, from moment to moment; what cannot be meant is told."""

    def told(words: str) -> str:
        return "; ".join(
            f"{e.begins:%m-%d %H:%M} {e.ends:%m-%d %H:%M}" for e in read_absences(words)
        )

    assert told("2031-12-24") == "12-24 00:00 12-25 00:00"
    assert told(" 2031-12-24 to 2032-01-02,2031-12-24") == (
        "12-24 00:00 01-03 00:00; 12-24 00:00 12-25 00:00"
    )
    assert told("2031-12-24 bis 2032-01-02") == told("2031-12-24-2032-01-02")
    assert (
        told("2031-05-02 13:00-17:30")
        == told("2031-05-02 13 to 17:30")
        == ("05-02 13:00 05-02 17:30")
    )
    assert told("2031-05-02 13:00") == told("2031-05-02 13-24") == "05-02 13:00 05-03 00:00"
    assert told("2031-05-02 13 – 2031-05-06 9:05") == "05-02 13:00 05-06 09:05"
    assert told("2031-05-02 to 2031-05-06 9") == "05-02 00:00 05-06 09:00"
    for words, wrong in [
        ("", "are no days"),
        ("Christmas", "are no days"),
        ("2031-02-30", "are no days"),
        ("2031-05-02-13", "are no days"),
        ("2031-05-02 25:00", "are no days"),
        ("2031-05-02 to 2031-05-06 13-17", "are no days"),
        ("9999-12-31", "the year 9999 is too far off"),
        ("2031-05-02 17-13", "it ends before it begins"),
        ("2032-01-02 to 2031-12-24", "the last day is before the first"),
        ("2031-12-24 to 2034-01-02", "longer than two years"),
    ]:
        with pytest.raises(BadInput, match=wrong) as refused:
            read_absences(words)
        assert refused.value.remedy()


@pytest.mark.parametrize("words", ["", "Sat", "Sat 17-9", "Xyz 9-12", "Sat 9-25", "Sat 9:70-12"])
def test_hours_that_nobody_can_read_are_told(words):
    """One sentence, with how to write them."""
    with pytest.raises(BadInput, match="hours"):
        read_hours(words)
