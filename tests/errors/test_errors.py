"""The family of errors: each says what is wrong, where and how to mend it, by its facts."""

import copy
import pickle
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest

from putback import errors
from putback.errors import (
    AlreadyExists,
    BadInput,
    BundleError,
    Damaged,
    DiskFull,
    ImpossibleGoal,
    InputError,
    NotFound,
    PutbackError,
    Stopped,
    StoreBusy,
    StoreError,
    UnitError,
    UnreadableFile,
    UnsafeArchive,
    VehicleFileError,
)

EXAMPLES = [
    (
        BadInput("a joint holds two parts or more, not 1", "joint 'sump'", "name the other part"),
        "joint 'sump': a joint holds two parts or more, not 1; name the other part",
    ),
    (
        NotFound("part", "gearbox rear mount", ("rear gearbox mounting",)),
        "no part 'gearbox rear mount'; did you mean 'rear gearbox mounting'?",
    ),
    (
        NotFound("tag", "K7F8", ("K7F4", "K7E8", "H7F8")),
        "no tag 'K7F8'; did you mean 'K7F4', 'K7E8' or 'H7F8'?",
    ),
    (NotFound("zone", "attic"), "no zone 'attic'"),
    (
        AlreadyExists("vehicle", "Tourer"),
        "there is a vehicle 'Tourer' already; choose another name",
    ),
    (
        UnitError("25 furlongs", "a torque", "write it like '25 Nm' or '18 lb ft'"),
        "cannot read '25 furlongs' as a torque; write it like '25 Nm' or '18 lb ft'",
    ),
    (
        UnreadableFile(Path("parts.csv"), 7, "the quantity 'two' is no number", "write 2"),
        "parts.csv, line 7: the quantity 'two' is no number; write 2",
    ),
    (
        UnreadableFile(Path("parts.csv"), None, "there is no such file"),
        "parts.csv: there is no such file",
    ),
    (
        VehicleFileError(
            ("joint 'sump' holds nothing", "part 'bonnet' is named twice"), "car.toml"
        ),
        "car.toml: 2 faults in the vehicle's description, nothing was saved:\n"
        "  - joint 'sump' holds nothing\n"
        "  - part 'bonnet' is named twice",
    ),
    (
        VehicleFileError(("part 'bonnet' is named twice",)),
        "1 fault in the vehicle's description, nothing was saved:\n"
        "  - part 'bonnet' is named twice",
    ),
    (
        BundleError(Path("car.zip"), "it holds no logbook.jsonl"),
        "car.zip: it holds no logbook.jsonl; ask for the bundle again; nothing was imported",
    ),
    (
        UnsafeArchive(Path("car.zip"), "it points outside the bundle", member="../../etc/passwd"),
        "car.zip, ../../etc/passwd: it points outside the bundle; "
        "do not open it by other means; nothing was imported",
    ),
    (StoreError("garage.db", "it cannot be opened"), "garage.db: it cannot be opened"),
    (
        StoreBusy("garage.db"),
        "garage.db: somebody else is writing to it; nothing was saved; try again in a moment",
    ),
    (
        DiskFull("garage.db"),
        "garage.db: the disk is full; nothing was saved; make room and try again",
    ),
    (
        Damaged("garage.db, entry 12", "its digest does not agree with its body"),
        "garage.db, entry 12: its digest does not agree with its body; "
        "keep it as it is and restore the last good backup beside it",
    ),
    (
        ImpossibleGoal(("the stand bears on the axle", "the axle is to come off"), "bare chassis"),
        "the goal 'bare chassis' cannot be reached:\n"
        "  - the stand bears on the axle\n"
        "  - the axle is to come off",
    ),
    (ImpossibleGoal(("the axle is kept",)), "the goal cannot be reached:\n  - the axle is kept"),
    (
        Stopped("looking for an order", 3, 40),
        "looking for an order was stopped after 3 of 40 steps",
    ),
    (Stopped(), "the work was stopped after 0 steps"),
]


def family(root: type[PutbackError] = PutbackError) -> list[type[PutbackError]]:
    """The root and all below it that the module declares."""
    below = [cls for child in root.__subclasses__() for cls in family(child)]
    return [cls for cls in (root, *below) if cls.__module__ == errors.__name__]


@pytest.mark.parametrize(("error", "message"), EXAMPLES)
def test_an_error_says_what_where_and_how_to_mend_it(error, message):
    """The message is built from the facts, in the order: where, what, how to mend it."""
    assert str(error) == message


@pytest.mark.parametrize("error", [error for error, _ in EXAMPLES])
@pytest.mark.parametrize("carry", [copy.copy, lambda error: pickle.loads(pickle.dumps(error))])
def test_an_error_travels_whole(error, carry):
    """A worker process can hand an error on: class, facts and message arrive."""
    arrived = carry(error)
    assert type(arrived) is type(error)
    assert vars(arrived) == vars(error)
    assert str(arrived) == str(error)


def test_every_error_that_is_raised_has_an_example_here():
    """Each class of the family, but for the two that only group others, is tried above."""
    tried = {type(error) for error, _ in EXAMPLES}
    assert set(family()) - tried == {PutbackError, InputError}


def test_the_tree_in_the_docstring_is_the_tree():
    """The drawing at the top of the module shows every class, indented below its parent."""

    def drawn(cls: type[PutbackError], depth: int = 0) -> list[tuple[str, int]]:
        rows = [(cls.__name__, depth)]
        for child in cls.__subclasses__():
            if child.__module__ == errors.__name__:
                rows += drawn(child, depth + 1)
        return rows

    tree = errors.__doc__.split("How to add one")[0].splitlines()
    rows = [
        (line.strip().lstrip("│├└─ ").split()[0], (len(line) - len(line.lstrip("│├└─ "))) // 4 - 1)
        for line in tree
        if line.startswith("    ")
    ]
    assert rows == drawn(PutbackError)


def test_a_person_who_errs_is_told_apart_from_work_that_failed():
    """The command line leaves with 2 for a mistake in what was asked, with 1 for all else."""
    assert {cls.exit_code for cls in family(InputError)} == {2}
    others = set(family()) - set(family(InputError))
    assert {cls.exit_code for cls in others} == {1}


def test_facts_are_kept_under_their_names():
    """Command line, API and page read the facts rather than the message."""
    error = NotFound("part", "bonet", ("bonnet",))
    assert is_dataclass(error)
    assert [field.name for field in fields(error)] == ["kind", "wanted", "nearest"]
    assert (error.kind, error.wanted, error.nearest) == ("part", "bonet", ("bonnet",))


def test_two_errors_with_equal_facts_are_two_errors():
    """Errors compare by identity, as exceptions do, so that they can be kept in sets."""
    first, second = NotFound("part", "x"), NotFound("part", "x")
    assert first != second
    assert len({first, second}) == 2


def test_an_error_that_says_nothing_is_our_own_bug():
    """A subclass without `fault` is found out by name the first time it is shown."""

    class Mute(PutbackError):
        pass

    with pytest.raises(NotImplementedError, match="Mute does not say what is wrong"):
        str(Mute())


def test_the_place_and_the_remedy_may_be_unknown():
    """An error that knows neither says only what is wrong."""

    class Bare(PutbackError):
        def fault(self):
            return "it is Monday"

    assert str(Bare()) == "it is Monday"
    assert str(pickle.loads(pickle.dumps(NotFound("part", "x")))) == "no part 'x'"
