"""Each document looks as it did when somebody last looked at it; pictures are kept small."""

import pytest
from PIL import Image

from tests.paper.drawn import MOST, apart
from tests.workshop.printing.drawn import GOLDEN, PAGES, car, drawn


@pytest.fixture(scope="module")
def wanted():
    """One car for all of them."""
    return car()


@pytest.mark.parametrize("name", PAGES)
def test_a_document_looks_as_it_did(name, wanted):
    """``python -m tests.workshop.printing.drawn`` keeps a look that is meant."""
    now, then = drawn(name, wanted), Image.open(GOLDEN / f"{name}.png").convert("L")
    assert now.size == then.size
    assert apart(now, then) < MOST, f"{name} looks otherwise"
