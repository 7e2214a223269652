"""The floors hold: every contract is kept by the real tree, and each one catches a violation.

A contract that nothing can break proves nothing. So for each we plant, in a copy of the tree, the
import that it forbids, and see that it is broken by that very import.
"""

import os
import re
import shutil
import subprocess
import sys
import tomllib
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@dataclass(frozen=True, slots=True)
class Plant:
    """Modules to add (path below `putback` to text) that break `contract`."""

    contract: str
    modules: dict[str, str]
    blamed: str = "planted"


PLANTS = {
    "a floor imports from above": Plant(
        "floors", {"vehicle/planted.py": "import putback.logbook"}
    ),
    "an error knows a unit": Plant(
        "floors", {"errors.py": "import putback.units"}, "putback.errors -> putback.units"
    ),
    "a package has no floor": Plant("floors", {"attic/__init__.py": ""}, "attic"),
    "Django below web and cli": Plant(
        "no-django-below", {"planning/planted.py": "import django.db"}
    ),
    "OR-Tools outside solvers": Plant(
        "solver-door", {"planning/planted.py": "from ortools.sat.python import cp_model"}
    ),
    "pint outside units": Plant("pint-door", {"bench/planted.py": "import pint"}),
    "Pillow outside pictures": Plant("picture-door", {"workshop/planted.py": "import PIL.Image"}),
    "Typst past its door": Plant("typst-door", {"paper/planted.py": "import typst"}),
    "cli uses a page of the web": Plant(
        "cli-not-web",
        {"web/planted.py": "", "cli/planted.py": "import putback.web.planted"},
    ),
    "cli reaches the store past wire.py": Plant(
        "cli-not-web",
        {"web/store/__init__.py": "", "cli/planted.py": "import putback.web.store"},
    ),
    "the library uses a page of the web": Plant(
        "cli-not-web",
        {"web/planted.py": "", "face/__init__.py": "import putback.web.planted"},
        "putback.face -> putback.web.planted",
    ),
    "a floor asks for a public name of the library": Plant(
        "floors", {"workshop/planted.py": "from putback import PutbackError"}
    ),
    "web uses the command line": Plant(
        "web-not-cli",
        {"cli/planted.py": "", "web/planted.py": "import putback.cli.planted"},
    ),
    "a cycle inside a floor": Plant(
        "no-cycles",
        {
            "logbook/planted/__init__.py": "import putback.logbook.grown",
            "logbook/grown.py": "import putback.logbook.planted",
        },
    ),
}


def contracts() -> dict[str, str]:
    """Id and name of every contract."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text())
    return {
        contract["id"]: contract["name"]
        for contract in settings["tool"]["importlinter"]["contracts"]
    }


def lint(folder: Path, *only: str) -> tuple[dict[str, bool], str]:
    """Which contracts are kept by the `putback` in `folder`, and what import-linter says."""
    program = "from importlinter.cli import lint_imports_command as lint; lint()"
    options = ["--no-logo", "--no-cache", *(f"--contract={contract}" for contract in only)]
    run = subprocess.run(
        [sys.executable, "-c", program, *options, str(ROOT / "pyproject.toml")],
        cwd=folder,
        env=os.environ | {"COLUMNS": "200", "PYTHONPATH": str(folder)},
        capture_output=True,
        text=True,
    )
    said = run.stdout + run.stderr
    ids = {name: contract for contract, name in contracts().items()}
    verdicts = re.findall(r"^(.+?) (KEPT|BROKEN)(?: \(.*\))?$", said, re.MULTILINE)
    return {ids[name]: verdict == "KEPT" for name, verdict in verdicts}, said


def test_every_contract_is_kept():
    """The tree as it is breaks no contract."""
    kept, said = lint(ROOT / "src")
    assert kept == dict.fromkeys(contracts(), True), said


def test_every_contract_has_a_violation_planted_here():
    """A contract added to pyproject.toml is proven to bite as well."""
    assert {plant.contract for plant in PLANTS.values()} == set(contracts())


@pytest.mark.parametrize("plant", PLANTS.values(), ids=PLANTS.keys())
def test_a_planted_violation_is_caught(tmp_path, plant):
    """The contract meant for it is broken, and import-linter says by which import."""
    tree = tmp_path / "putback"
    shutil.copytree(
        ROOT / "src" / "putback", tree, ignore=shutil.ignore_patterns("__pycache__", "data")
    )
    for path, text in plant.modules.items():
        module = tree / path
        module.parent.mkdir(parents=True, exist_ok=True)
        with module.open("a") as file:
            file.write(f"\n{text}\n")
    kept, said = lint(tmp_path, plant.contract)
    assert kept == {plant.contract: False}, said
    assert plant.blamed in said
