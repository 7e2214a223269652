"""Pipe ends against the nut threads and flare angles that are published."""

import re

import pytest

from putback.bench.designation import thread_named
from putback.bench.ends.mating import ends, forms
from putback.bench.tables import data_table
from tests.published.reference import rows

ROWS = rows("e_tube_flare.csv")
NUTS = [row for row in ROWS if row.quantity == "usual tube nut thread"]


@pytest.mark.parametrize("row", NUTS, ids=lambda row: row.inputs["tube"])
def test_a_tube_has_its_usual_nut(row):
    """e_tube_flare.csv: the thread for each tube, by way of the sources named there."""
    size = row.inputs["tube"].split(" (")[0].replace(" metric", "")
    family = "SAE" if "SAE" in row.inputs["tube"] else "ISO"
    wanted = thread_named(row.expected.replace("(", "").replace(")", ""))
    found = [
        end
        for end in ends().values()
        if end.code.startswith(family) and end.tube.startswith(size) and end.is_for_brakes
    ]
    assert [end.thread.name for end in found] == [wanted.name]


def test_the_inverted_flare_has_its_angles():
    """e_tube_flare.csv: 45° on the tube, 42° on the seat."""
    (row,) = (row for row in ROWS if row.quantity.startswith("flare cone"))
    flare, seat = (float(number) for number in re.findall(r"\d+", row.expected))
    assert (forms()["inverted"].flare_deg, forms()["inverted"].seat_deg) == (flare, seat)


def test_the_bubble_has_a_square_shoulder():
    """e_tube_flare.csv: 90° behind the bubble, which the nut's flat front pushes on."""
    (row,) = (row for row in ROWS if row.quantity.startswith("shoulder behind"))
    assert f"({row.expected}°)" in forms()["bubble"].nut
    assert "square shoulder" in forms()["bubble"].words


def test_a_single_flare_is_no_brake_pipe():
    """e_tube_flare.csv: double or bubble only."""
    (row,) = (row for row in ROWS if row.quantity.startswith("single flare"))
    assert row.expected.startswith("not allowed")
    single = [form for form in forms().values() if form.words.startswith("single flare")]
    assert single
    assert not any(form.on_brakes for form in single)


def test_every_end_said_to_be_published_is():
    """No row of the table claims a source that e_tube_flare.csv does not have."""
    printed = {row.inputs["tube"].split(" (")[0] for row in NUTS if row.status == "published"}
    for row in data_table("pipe_ends").rows:
        if row["status"] == "published":
            assert row["tube"].split(" (")[0] in printed
