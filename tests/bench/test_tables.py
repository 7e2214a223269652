"""Tables of data: their source stands at their top, and their rows are whole."""

from importlib.resources import files

import pytest

from putback.bench.tables import data_table

NAMES = sorted(
    path.name.removesuffix(".csv")
    for path in (files("putback.bench") / "data").iterdir()
    if path.name.endswith(".csv")
)


@pytest.mark.parametrize("name", NAMES)
def test_a_table_says_where_it_is_from(name):
    """Title, source, edition and how it was checked stand at the top of every table."""
    table = data_table(name)
    assert all(table.about.get(key) for key in ("title", "source", "edition", "checked"))
    assert table.source == table.about["source"]


@pytest.mark.parametrize("name", NAMES)
def test_a_table_has_whole_rows(name):
    """No row has a cell too many or too few."""
    rows = data_table(name).rows
    assert rows
    for row in rows:
        assert None not in row
        assert None not in row.values()


def test_a_long_line_of_the_head_goes_on():
    """What is said of a table may take several lines."""
    assert data_table("threads").source.endswith("(7/16-24: the UNF has 20)")
