"""The documentation leaves nothing out: commands, settings, kinds of entry, pages, links."""

import re
from pathlib import Path

import pytest

from scripts.docs_reference import PAGES, SETTINGS

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
WRITTEN = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted(DOCS.rglob("*.md"))]


@pytest.mark.parametrize("name", PAGES)
def test_a_reference_page_is_as_the_program_is(name):
    """What commands and kinds of entry say of themselves."""
    assert (DOCS / name).read_text() == PAGES[name](), "run: make docs"


def test_every_setting_has_its_line():
    """Each environment variable that the program reads is in the table, and no other."""
    sources = (ROOT / "src").rglob("*.py")
    read = {name for path in sources for name in re.findall(r"\bPUTBACK_\w+", path.read_text())}
    assert read == set(SETTINGS)


def test_every_page_is_in_the_table_of_contents():
    """Who opens docs/ finds each page from its first one."""
    listed = set(re.findall(r"\]\(([\w-]+\.md)\)", (DOCS / "README.md").read_text()))
    assert listed == {path.name for path in DOCS.glob("*.md")} - {"README.md"}


@pytest.mark.parametrize("page", WRITTEN, ids=lambda page: page.name)
def test_every_link_leads_somewhere(page):
    """A link within the project names a file that is there, and a heading that is in it."""
    dead = []
    for link in re.findall(r"\]\((?!https?:)([^)\s]+)\)", page.read_text()):
        path, _, anchor = link.partition("#")
        target = (page.parent / path) if path else page
        if not target.exists() or (anchor and anchor not in anchors(target)):
            dead.append(link)
    assert dead == []


def anchors(page: Path) -> set[str]:
    """The headings of a page, as a link names them."""
    headings = re.findall(r"^#+ (.*)$", page.read_text(), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", each).strip().lower().replace(" ", "-") for each in headings}


@pytest.mark.parametrize("page", WRITTEN, ids=lambda page: page.name)
def test_every_file_that_is_named_is_there(page):
    """A path of the project in a page leads to a file or folder."""
    named = re.findall(r"`((?:benchmarks|docs|scripts|src|tests)/[\w./-]*)`", page.read_text())
    assert [path for path in named if not (ROOT / path).exists()] == []
