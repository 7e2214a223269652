"""The page about the vehicle file says all of it, and its example is one."""

import re
from dataclasses import MISSING, fields, is_dataclass
from enum import EnumType
from pathlib import Path
from typing import get_args, get_type_hints

import pytest

from putback.vehicle.check import check
from putback.vehicle.codec import TABLES
from putback.vehicle.fastener import FastenerKind, FastenerSpec
from putback.vehicle.file import read

PAGE = Path(__file__).parents[2].joinpath("docs", "vehicle-file.md").read_text(encoding="utf-8")
SECTIONS = {
    table: section
    for section in PAGE.split("\n### ")[1:]
    for table in section.partition("\n")[0].split(", ")
}


def test_the_example_is_a_vehicle_without_fault() -> None:
    """The example of the page can be read as it stands."""
    (example,) = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    one = read(example)
    assert check(one) == ()
    assert one.joints["pump-bolts"].fixing_count == 4


def test_every_table_has_a_section() -> None:
    """No table is left out."""
    assert set(SECTIONS) == set(TABLES)


@pytest.mark.parametrize("table", TABLES)
def test_every_field_is_there_and_marked_if_it_must_be(table: str) -> None:
    """Fields at any depth are named in the section, with a star if they have no default."""
    for record in [TABLES[table], *nested(TABLES[table])]:
        for each in fields(record):
            must = each.default is MISSING and each.default_factory is MISSING
            named = f"`{each.name}`{'*' if must else ''}"
            assert named in SECTIONS[table] or each.name in ("best", "likely", "worst"), named


@pytest.mark.parametrize("table", TABLES)
def test_every_word_of_a_closed_set_is_there(table: str) -> None:
    """Where only some words will do, the page says which."""
    words = {
        member.value
        for record in [TABLES[table], *nested(TABLES[table])]
        for hint in get_type_hints(record).values()
        for each in (hint, *get_args(hint))
        if isinstance(each, EnumType) and each is not FastenerKind
        for member in each
    }
    assert {word for word in words if f"*{word}*" not in SECTIONS[table]} == set()


def nested(record: type) -> list[type]:
    """The records inside a record, at any depth, but for what is written as text."""
    found: list[type] = []
    for hint in get_type_hints(record).values():
        for each in (hint, *get_args(hint)):
            if isinstance(each, type) and is_dataclass(each) and each is not FastenerSpec:
                found += [each, *nested(each)]
    return found
