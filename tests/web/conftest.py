"""A site to ask, over a store of its own."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.test.utils import override_settings

from putback.web.here import open_here
from putback.web.store import setup
from tests.ready_made import lay_file
from tests.stores import QUICK_DIGESTS
from tests.web.site import EmptySite, Found, Site

FOR_TESTS = {"ALLOWED_HOSTS": ["testserver", "localhost", "127.0.0.1"], **QUICK_DIGESTS}


@pytest.fixture
def site(tmp_path) -> Iterator[Site]:
    """A site over an empty SQLite store, with an owner, a worker, a viewer and a neighbour."""
    lay_file(tmp_path / "home")
    opened = setup(tmp_path / "home", "")
    with override_settings(**FOR_TESTS):
        yield Site(tmp_path / "home", opened)
    opened.close()


@pytest.fixture(scope="session")
def laid_out_demo(tmp_path_factory) -> tuple[Path, Found]:
    """The home of a site with the demo, for copies of it: to lay it out takes a second."""
    home = tmp_path_factory.mktemp("site") / "home"
    lay_file(home)
    opened = setup(home, "")
    with override_settings(**FOR_TESTS):
        site = Site(home, opened)
        found = Found(site.people, site.vehicle, site.demo())
    opened.close()
    return home, found


@pytest.fixture
def demo_site(tmp_path, laid_out_demo) -> Iterator[Site]:
    """The same site with the demo, in the middle of its strip, as a second vehicle of Olive's."""
    laid_out, found = laid_out_demo
    home = shutil.copytree(laid_out, tmp_path / "home")
    opened = setup(home, "")
    with override_settings(**FOR_TESTS):
        yield Site(home, opened, found=found)
    opened.close()


@pytest.fixture
def empty_site(tmp_path) -> Iterator[EmptySite]:
    """A site over an empty store, in which nobody has an account."""
    lay_file(tmp_path / "home")
    opened = setup(tmp_path / "home", "")
    with override_settings(**FOR_TESTS):
        yield EmptySite(open_here(opened))
    opened.close()
