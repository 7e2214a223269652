"""Papers look as they were when somebody last looked at them: four pictures, kept small."""

import pytest
from PIL import Image, ImageChops, ImageStat

from tests.paper.drawn import GOLDEN, PAPERS, picture

MOST = 2.0
"""How far greys may lie apart on average: edges drawn otherwise, and no more [of 255]."""


@pytest.mark.parametrize("name", PAPERS)
def test_a_paper_looks_as_it_did(name):
    """A line moved is seen; ``python -m tests.paper.drawn`` keeps a look that is meant."""
    now = picture(PAPERS[name]())
    then = Image.open(GOLDEN / f"{name}.png").convert("L")
    assert now.size == then.size
    apart = ImageStat.Stat(ImageChops.difference(now, then)).mean[0]
    assert apart < MOST, f"{name} looks otherwise: greys lie {apart:.1f} apart"


def test_a_line_moved_is_seen():
    """The comparison would be worth nothing if it passed a card moved by two millimetres."""
    now = picture(PAPERS["card"]())
    moved = ImageChops.offset(now, 0, 5)
    assert ImageStat.Stat(ImageChops.difference(now, moved)).mean[0] > MOST
