"""Who may come in to the pages, from the command line."""

import pytest
from django.test.utils import override_settings
from typer.testing import CliRunner

from putback.cli.main import app
from putback.cli.wire import open_store
from putback.workshop.logbooks.ports import Role, SystemClock
from putback.workshop.people.people import DeviceKind, People
from tests.cli.test_json import ALWAYS, described
from tests.stores import QUICK_DIGESTS

PASSWORD, NEW = "a rusty old gate hinge", "another rusty hinge"


@pytest.fixture
def people(putback):
    """Ann and Ben with accounts, and a vehicle of Ann's."""
    putback.ok('new "Old Dunlin"')
    store = open_store(putback.home)
    made = People(store.people, SystemClock())
    with override_settings(**QUICK_DIGESTS):
        for name in ("Ann", "Ben"):
            made.add(name, PASSWORD)
        made.sign_in(made.find("Ann").id, "Chrome on Android", DeviceKind.BROWSER)
        yield made
    store.close()


def test_nobody_has_an_account_at_first(putback):
    """And it says how the first comes to one."""
    assert "putback serve shows a link" in putback.ok("people list")


def test_people_are_listed_with_devices_and_vehicles(putback, people):
    """For people, and as JSON."""
    said = putback.ok("people list")
    assert "Ann (ann)\n  owner of Old Dunlin\n  Chrome on Android, last seen 20" in said
    first = putback("people", "list", "--json").json["people"][0]
    assert first["roles"] == {"Old Dunlin": "owner"}
    assert first["devices"][0]["label"] == "Chrome on Android"


def test_a_forgotten_password_is_given_anew(putback, people):
    """It is asked for twice; devices are out, and the old one opens nothing."""
    done = CliRunner().invoke(app, ["people", "reset-password", "ann"], input=f"{NEW}\n{NEW}\n")
    assert done.exit_code == 0, done.output
    assert "Ann has a new password; 1 device signed out." in done.stdout
    assert people.vouch("Ann", NEW, "192.0.2.1").id == "ann"
    assert not people.store.is_password(people.find("Ann").id, PASSWORD)


def test_a_bad_password_is_refused_in_words(putback, people):
    """And the one that was stays."""
    done = CliRunner().invoke(app, ["people", "reset-password", "ann"], input="short\nshort\n")
    assert done.exit_code == 2
    assert "a password of 5 characters is too short" in done.stderr
    assert people.store.is_password(people.find("Ann").id, PASSWORD)


def test_a_lost_phone_is_signed_out(putback, people):
    """Everywhere at once; whoever is meant but not there is named."""
    assert putback.ok("people end-devices Ann") == "Ann: 1 device signed out.\n"
    assert putback.ok("people end-devices Ann") == "Ann: 0 devices signed out.\n"
    said = putback("people", "end-devices", "Ann", "--json").json
    assert set(said) - ALWAYS == described()["people end-devices"]
    assert "no person 'Zoe'" in putback.refused(line="people end-devices Zoe")


def test_roles_are_given_and_taken_away(putback, people):
    """Never the last owner's."""
    assert putback.ok("people role Ben worker") == "Ben: worker of Old Dunlin.\n"
    assert "needs an owner, and this is the last" in putback.refused(line="people role Ann none")
    assert "there is no role 'boss'" in putback.refused(line="people role Ben boss")
    given = putback("people", "role", "Ben", "none", "--json").json
    assert given["role"] == "none"
    assert set(given) - ALWAYS == described()["people role"]
    roles = people.store.people() and open_store(putback.home).entries
    (vehicle,) = (each.id for each in roles.logbooks() if each.name == "Old Dunlin")
    assert roles.roles(vehicle) == {"ann": Role.OWNER}
    roles.close()


def test_somebody_is_called_otherwise(putback, people):
    """They sign in by the new name, who they are stays, and nobody else's name is taken."""
    assert putback.ok('people rename ann "Anne Berg"') == "Ann is Anne Berg now.\n"
    assert people.vouch("Anne Berg", PASSWORD, "192.0.2.1").id == "ann"
    assert "a person 'Ben'" in putback.refused(line='people rename "Anne Berg" Ben')
    said = putback("people", "rename", "ann", "Ann", "--json").json
    assert set(said) - ALWAYS == described()["people rename"]
    assert (said["person"], said["was"]) == ("ann", "Anne Berg")
