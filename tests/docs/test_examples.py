"""The examples in the documentation run, and say what stands beside them."""

import os
import re
import shlex
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.db import connections

from putback.cli.main import main

ROOT = Path(__file__).parents[2]
PAGES = sorted([ROOT / "README.md", *(ROOT / "docs").glob("*.md")])


@dataclass(frozen=True, slots=True)
class Block:
    """A fenced block, and the block right after it."""

    language: str
    text: str
    line: int
    next: str
    """Text of the block that follows with nothing between but blank lines, if it is of text."""


def blocks(page: Path) -> list[Block]:
    """All fenced blocks of a page."""
    text = page.read_text()
    fence = re.compile(
        r"^```(\w*)\n(.*?)^```$(?:\s*^```text\n(.*?)^```$)?", re.MULTILINE | re.DOTALL
    )
    return [
        Block(each[1], each[2], text.count("\n", 0, each.start()) + 2, each[3] or "")
        for each in fence.finditer(text)
    ]


def pages_with(language: str) -> list[pytest.ParameterSet]:
    """The pages that have a block of this language."""
    return [
        pytest.param(page, id=page.stem)
        for page in PAGES
        if any(block.language == language for block in blocks(page))
    ]


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    """An empty folder to be in, with a store of its own; nobody's settings reach in."""
    for name in [name for name in os.environ if name.startswith("PUTBACK_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("PUTBACK_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("PUTBACK_WHO", "Ann")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("page", pages_with("python"))
def test_the_python_of_a_page_runs(page, capsys):
    """From top to bottom in one go, printing what the text blocks say."""
    names = {"__name__": page.stem}
    for block in blocks(page):
        if block.language != "python":
            continue
        # Blank lines before it let a traceback name the line of the page.
        exec(compile("\n" * (block.line - 1) + block.text, str(page), "exec"), names)
        said = capsys.readouterr().out
        if block.next:
            assert said == block.next, f"{page.name}, line {block.line}"


@pytest.mark.parametrize("page", pages_with("console"))
def test_the_commands_of_a_page_run(page, capsys, monkeypatch):
    """Each `$ putback ...` exits as it should, and prints the lines below it, in their order.

    A line `...` stands for any lines, `...` at the end of a line for its rest, and `[1]` for an
    exit code.
    """
    for block in blocks(page):
        if block.language != "console":
            continue
        for typed, _, shown in (each.partition("\n") for each in block.text.split("$ ")[1:]):
            monkeypatch.setattr("sys.argv", shlex.split(typed))
            exit_code = run()
            output = capsys.readouterr()
            said = output.out + output.err
            code = re.search(r"^\[(\d)\]\n\Z", shown, re.MULTILINE)
            assert exit_code == int(code[1] if code else 0), f"{typed}\n{said}"
            wanted = shown.removesuffix(code[0]) if code else shown
            assert re.fullmatch(as_pattern(wanted), said), f"{typed}\n{said}"


def run() -> int:
    """Run the command line in this process, which spares loading it anew, and give its code."""
    try:
        main()
    except SystemExit as end:
        return int(end.code or 0)
    finally:
        connections.close_all()
    return 0


def as_pattern(shown: str) -> str:
    """A pattern of output as the docs show it; nothing shown allows anything."""
    if not shown.strip():
        return r"(?s:.*)"
    lines = [
        r"(?:.*\n)*?" if line == "..." else re.escape(line).replace(r"\.\.\.", r".*") + r"\n"
        for line in shown.rstrip("\n").split("\n")
    ]
    return "".join(lines)
