"""Papers look as they were when somebody last looked at them: a few pictures, kept small."""

import pytest
from PIL import Image, ImageChops

from tests.paper.drawn import GOLDEN, MOST, PAPERS, apart, picture


@pytest.mark.parametrize("name", PAPERS)
def test_a_paper_looks_as_it_did(name):
    """A line moved is seen; ``python -m tests.paper.drawn`` keeps a look that is meant."""
    now, then = picture(PAPERS[name]()), Image.open(GOLDEN / f"{name}.png").convert("L")
    assert now.size == then.size
    assert apart(now, then) < MOST, f"{name} looks otherwise"


def test_a_line_moved_is_seen():
    """The comparison would be worth nothing if it passed a card moved by two millimetres."""
    now = picture(PAPERS["card"]())
    assert apart(now, ImageChops.offset(now, 0, 5)) > MOST
