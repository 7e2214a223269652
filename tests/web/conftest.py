"""A site to ask, over a store of its own."""

from collections.abc import Iterator

import pytest
from django.test.utils import override_settings

from putback.web.here import open_here
from putback.web.store import setup
from tests.ready_made import lay_file
from tests.web.site import EmptySite, Site

FOR_TESTS = {
    "ALLOWED_HOSTS": ["testserver", "localhost", "127.0.0.1"],
    # Slow digests are for passwords that somebody may steal.
    "PASSWORD_HASHERS": ["django.contrib.auth.hashers.MD5PasswordHasher"],
}


@pytest.fixture
def site(tmp_path) -> Iterator[Site]:
    """A site over an empty SQLite store, with an owner, a worker, a viewer and a neighbour."""
    lay_file(tmp_path / "home")
    opened = setup(tmp_path / "home", "")
    with override_settings(**FOR_TESTS):
        yield Site(tmp_path / "home", opened)
    opened.close()


@pytest.fixture
def empty_site(tmp_path) -> Iterator[EmptySite]:
    """A site over an empty store, in which nobody has an account."""
    lay_file(tmp_path / "home")
    opened = setup(tmp_path / "home", "")
    with override_settings(**FOR_TESTS):
        yield EmptySite(open_here(opened))
    opened.close()
