"""No published value of a table is left out silently: every row is looked at by some test."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.published.noting import name_of
from tests.published.reference import DATA, rows

HERE = Path(__file__).parent
WITH_SOURCES = "topic,quantity,inputs,expected,unit,tolerance,status,source"


def tables() -> list[str]:
    """The tables whose rows name their sources."""
    found = sorted(
        path.name
        for path in DATA.glob("*.csv")
        if path.read_text(encoding="utf-8").startswith(WITH_SOURCES)
    )
    assert len(found) >= 12
    return found


@pytest.mark.slow
def test_every_published_row_is_looked_at_by_a_test(tmp_path):
    """Run all tests that read the tables, and see which expected values they compare with."""
    noted = tmp_path / "noted.txt"
    readers = [
        path
        for path in sorted(HERE.glob("test_*.py"))
        if re.search(r"reference import .*\brows$", path.read_text(), re.MULTILINE)
        and path != Path(__file__)
    ]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--noconftest",
         "-p", "tests.published.noting", "--noted", str(noted), *map(str, readers)],
        cwd=HERE.parents[1], capture_output=True, text=True, check=False,
        env={**os.environ, "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"},
    )  # fmt: skip
    assert done.returncode == 0, done.stdout
    seen = set(noted.read_text(encoding="utf-8").splitlines())
    missed = [
        f"{table}: {row.quantity} {row.inputs}"
        for table in tables()
        for row in rows(table)
        if row.status == "published" and name_of(row) not in seen
    ]
    assert not missed, "\n".join(missed)
