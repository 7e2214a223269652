"""A plugin of pytest that notes which rows of the tables of published values tests look at.

``pytest -p tests.published.noting --noted FILE ...`` writes to FILE, a line each, the rows whose
expected value was read while a test ran; what is read while tests are collected does not count.
"""

from collections.abc import Generator
from pathlib import Path
from typing import Any

import pytest

from tests.published.reference import Row

_noted: set[str] = set()


def name_of(row: Row) -> str:
    """Tell a row from all others of its table."""
    return repr((row.quantity, sorted(row.inputs.items()), row.__dict__["expected"], row.unit))


def _expected(row: Row) -> str:
    _noted.add(name_of(row))
    return str(row.__dict__["expected"])


def _expect(row: Row, value: str) -> None:
    row.__dict__["expected"] = value


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add where to write."""
    parser.addoption("--noted", type=Path, help="file to which rows that were read are written")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call() -> Generator[None, Any, Any]:
    """Note what is read while a test runs."""
    Row.expected = property(_expected, _expect)  # type: ignore[assignment]
    try:
        return (yield)
    finally:
        del Row.expected


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Write down what was noted."""
    session.config.getoption("--noted").write_text("\n".join(sorted(_noted)), encoding="utf-8")
