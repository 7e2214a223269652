"""Backups: made from either database, restored into either, and never half."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from django.test.utils import override_settings

from putback.errors import AlreadyExists, BadInput, Damaged, StoreError, UnreadableFile
from putback.logbook.entries.base import DeviceId, LogbookId
from putback.web.store import migrations
from putback.workshop.exchange.backup import back_up, back_up_tables, open_backup, restore
from putback.workshop.exchange.verify import verify
from putback.workshop.logbooks.ports import BackupNote, KeptPlan, Role, Row
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.people.people import DeviceKind, People
from tests.stores import ANN, BEN, PHONE, PLOVER, QUICK_DIGESTS, Phone, Watch

WAGON = LogbookId("wagon-1")
MIGRATIONS = sorted(
    path.stem for path in Path(migrations.__path__[0]).glob("[0-9][0-9][0-9][0-9]_*.py")
)
OTHER = {"sqlite": "postgresql", "postgresql": "sqlite"}


@pytest.fixture
def full(opener, kind, phone):
    """A store with something in every table, and two photos."""
    opened = opener.open(kind)
    store = opened.entries
    store.create_logbook(PLOVER, "Plover", ANN)
    store.create_logbook(WAGON, "Wagon", BEN)
    store.append(PLOVER, phone.entries(700), "ann's phone")
    store.append(WAGON, Phone(logbook=WAGON).entries(3), "")
    store.grant(PLOVER, BEN, Role.VIEWER)
    store.reserve_tags(PHONE, 20)
    store.keep_setting(PLOVER, "calendar", '{"hoists": 2}')
    store.note_backup(BackupNote("2031-01-01T00:00:00.000Z", "an older one", 1))
    people = People(opened.people, Watch())
    with override_settings(**QUICK_DIGESTS):
        ann = people.add("Ann", "a rusty old gate").id
    people.sign_in(ann, "a phone", DeviceKind.BROWSER)
    opened.photos.put(b"photo 1")
    opened.photos.put(b"photo 2")
    Workshop(store, opened.photos).state(PLOVER)
    return opened


def saved(opened, into, **more):
    """A backup of the store."""
    now = Watch().now()
    return back_up(opened.entries, opened.photos, into, now, home=opened.home, **more)


def contents(opened) -> list[object]:
    """All that a store can tell."""
    store = opened.entries
    state = Workshop(store, opened.photos).state(PLOVER)
    books = [(each, list(store.read(each.id)), store.roles(each.id)) for each in store.logbooks()]
    people = [(each, opened.people.devices(each.id)) for each in opened.people.people()]
    reserved, clock = store.reserved_tags(), store.last_clock(PHONE)
    hours = store.setting(PLOVER, "calendar")
    return [books, people, reserved, clock, hours, list(opened.photos), state]


@pytest.mark.parametrize("to", ["the same", "the other"])
def test_a_restored_store_is_the_same(full, kind, opener, tmp_path, to):
    """The drill: back up, restore elsewhere, verify; on the same kind of database or the other."""
    backup = saved(full, tmp_path / "stick")
    assert (backup.entries, len(backup.photos), backup.left_out) == (703, 2, ())
    assert backup.folder.name == "putback-2031-05-02T083000Z"
    elsewhere = opener.open(kind if to == "the same" else OTHER[kind], "elsewhere")
    restore(backup.folder, elsewhere.entries, elsewhere.photos)
    assert contents(elsewhere) == contents(full)
    verified = verify(elsewhere.entries, elsewhere.photos)
    assert (verified.faults, verified.logbooks, verified.entries, verified.photos) == (
        [],
        2,
        703,
        2,
    )


def test_a_restored_store_goes_on(full, kind, opener, tmp_path):
    """New rows do not collide with restored ones, on any table that counts."""
    backup = saved(full, tmp_path / "stick")
    elsewhere = opener.open(OTHER[kind], "elsewhere")
    restore(backup.folder, elsewhere.entries, elsewhere.photos)
    store = elsewhere.entries
    assert store.append(PLOVER, Phone(device=DeviceId("new")).entries(1), "").position == 701
    assert store.reserve_tags(PHONE, 5) == range(20, 25)
    store.grant(WAGON, ANN, Role.WORKER)
    store.note_backup(BackupNote("2032-01-01T00:00:00.000Z", "later", 704))
    assert store.last_backup().place == "later"


def test_the_last_backup_is_noted(full, tmp_path):
    """When it was made, where it is and of how many entries."""
    backup = saved(full, tmp_path / "stick")
    note = full.entries.last_backup()
    assert note == BackupNote("2031-05-02T08:30:00.000Z", str(backup.folder), 703)


def test_a_kept_plan_is_in_no_backup(full, opener, kind, tmp_path):
    """It is a cache: who restores plans afresh."""
    full.entries.keep_plan(PLOVER, "bare", KeptPlan(3, b"a plan"))
    backup = saved(full, tmp_path / "stick")
    assert not (backup.folder / "tables" / "putback_plan.jsonl").exists()
    elsewhere = opener.open(kind, "elsewhere")
    restore(backup.folder, elsewhere.entries, elsewhere.photos)
    assert elsewhere.entries.kept_plan(PLOVER, "bare") is None
    assert contents(elsewhere) == contents(full)


def test_what_was_saved_before_plans_were_kept_is_restored(opener, kind):
    """A copy of the first tables is brought up to date, and plans can be kept then."""
    store = opener.open(kind).entries
    logbook = {"id": "plover-1", "name": "Plover", "created_at": "", "position": 0}
    store.restore({"store": "0001_first_tables"}, [Row("putback_logbook", logbook)])
    assert store.shape() == {"store": MIGRATIONS[-1]}
    store.keep_plan(PLOVER, "bare", KeptPlan(0, b"a plan"))
    assert store.kept_plan(PLOVER, "bare") == KeptPlan(0, b"a plan")


def test_two_backups_in_one_second_have_two_names(full, tmp_path):
    """Nothing is ever overwritten."""
    names = [saved(full, tmp_path).folder.name for _ in range(2)]
    assert names == ["putback-2031-05-02T083000Z", "putback-2031-05-02T083000Z-2"]


def test_a_backup_is_of_one_moment(full, kind, opener, tmp_path):
    """What another process appends meanwhile is not kept waiting, and in no table of the copy."""
    other = opener.open(kind).entries
    late = Phone(device=DeviceId("late")).entries(3)

    class Appends:
        """Stands for the other process, in the middle of the copying."""

        def step(self, done, total, what):
            if (done, what) == (350, "copying putback_entry"):
                other.append(PLOVER, late, "")

    backup = saved(full, tmp_path / "stick", progress=Appends())
    assert full.entries.position(PLOVER) == 703
    assert backup.entries == 703
    logbooks = (backup.folder / "tables" / "putback_logbook.jsonl").read_text().splitlines()
    assert [json.loads(line)["position"] for line in logbooks] == [700, 3]


def test_a_backup_inside_the_store_is_refused(full):
    """It would be lost together with the store."""
    with pytest.raises(BadInput, match="is inside the store's own folder, and would be lost"):
        saved(full, full.home / "sub")
    assert full.entries.last_backup().place == "an older one"


def test_a_spoilt_photo_does_not_keep_the_rest_from_being_saved(full, tmp_path):
    """It is left out, by name, and the store's own check names it as well."""
    photo = next(iter(full.photos))
    path = full.home / "photos" / photo[:2] / photo
    path.write_bytes(b"spoilt")
    backup = saved(full, tmp_path / "stick")
    assert backup.left_out == (photo,)
    assert open_backup(backup.folder) == backup
    [fault] = verify(full.entries, full.photos).faults
    assert str(path) in fault.where
    assert fault.mend == "take the photo from a backup, or take it again"


def test_nothing_is_restored_over_something(full, opener, kind, tmp_path):
    """A store with anything in it is left as it is."""
    backup = saved(full, tmp_path / "stick")
    before = contents(full)
    with pytest.raises(AlreadyExists, match="restore into an empty home folder"):
        restore(backup.folder, full.entries, full.photos)
    with pytest.raises(AlreadyExists, match="restore into a new one"):
        full.entries.restore(backup.shape, [])
    assert contents(full) == before


@pytest.fixture
def backup(opener, tmp_path, phone):
    """A small backup."""
    opened = opener.open("sqlite")
    opened.entries.create_logbook(PLOVER, "Plover", ANN)
    opened.entries.append(PLOVER, phone.entries(5), "")
    opened.photos.put(b"photo")
    return saved(opened, tmp_path / "stick")


def spoil_table(folder):
    path = folder / "tables" / "putback_entry.jsonl"
    path.write_text(path.read_text().replace('"position":3', '"position":9'))


def spoil_photo(folder):
    next((folder / "photos").glob("*/*")).write_bytes(b"phot0")


def lose_table(folder):
    (folder / "tables" / "putback_role.jsonl").unlink()


def change_manifest(**changes):
    def change(folder):
        path = folder / "manifest.json"
        path.write_text(json.dumps(json.loads(path.read_text()) | changes))

    return change


@pytest.mark.parametrize(
    ("spoil", "error", "message"),
    [
        (spoil_table, Damaged, "putback_entry.jsonl: the file is not as it was written"),
        (spoil_photo, Damaged, "the file is not as it was written"),
        (lose_table, Damaged, "tables/putback_role.jsonl is missing from the backup"),
        (change_manifest(format=2), UnreadableFile, "is a backup of format 2, and this version"),
        (change_manifest(shape=3), UnreadableFile, "is not the manifest of a backup"),
        (
            change_manifest(digests={"../../outside": "0" * 64}),
            UnreadableFile,
            r"names a file outside the backup: '../../outside'",
        ),
        (
            change_manifest(shape={"store": "0999_later"}),
            StoreError,
            r"made by a newer version \(store.0999_later\); install that version",
        ),
        (shutil.rmtree, UnreadableFile, "name the folder that holds manifest.json"),
    ],
)
def test_a_spoilt_backup_is_refused_whole(backup, opener, spoil, error, message):
    """It is looked at before anything is restored; the store stays empty, and can be used."""
    elsewhere = opener.open("sqlite", "elsewhere")
    spoil(backup.folder)
    with pytest.raises(error, match=message):
        restore(backup.folder, elsewhere.entries, elsewhere.photos)
    assert elsewhere.entries.logbooks() == ()
    elsewhere.entries.create_logbook(PLOVER, "Plover", ANN)


def test_a_restore_that_breaks_leaves_nothing(opener, kind):
    """All rows go in together or not at all."""
    store = opener.open(kind).entries
    logbook = {"id": "a", "name": "A", "created_at": "", "position": 0}
    role = {"id": 1, "logbook_id": "nowhere", "person": "ann", "role": "owner"}
    rows = [Row("putback_logbook", logbook), Row("putback_role", role)]
    with pytest.raises(Damaged, match=r"the copy contradicts itself: .*nothing was restored"):
        store.restore(store.shape(), rows)
    assert store.logbooks() == ()


def test_a_backup_that_breaks_leaves_nothing(opener, tmp_path, phone):
    """No folder that looks like a backup, and no note that there is one."""
    opened = opener.open("sqlite")
    opened.entries.create_logbook(PLOVER, "Plover", ANN)

    class Stops:
        """The person pressed stop."""

        def step(self, done, total, what):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        saved(opened, tmp_path / "stick", progress=Stops())
    assert list((tmp_path / "stick").iterdir()) == []
    assert opened.entries.last_backup() is None


# -- when tables change -------------------------------------------------------------------------


def test_tables_are_copied_before_they_are_changed(opener, kind, tmp_path):
    """An older store is opened by a newer program: its tables go to home/backups first.

    The newer program is this one with one migration more, in a process of its own.
    """
    opened = opener.open(kind)
    opened.entries.create_logbook(PLOVER, "Plover", ANN)
    opened.entries.append(PLOVER, Phone().entries(4), "")
    old = back_up_tables(opened.entries, tmp_path / "old", Watch().now())
    url = opener.url() if kind == "postgresql" else ""
    opened.close()
    write_later_version(tmp_path)
    run_later_version(
        tmp_path, opened.home, url, "print(opened.entries.position('plover-1'))", says="4"
    )
    [copied] = (opened.home / "backups").iterdir()
    backup = open_backup(copied)
    assert (backup.entries, backup.shape) == (4, {"store": MIGRATIONS[-1]})
    assert backup.photos == ()
    # A later program restores what this one saved, and brings it up to date.
    there = tmp_path / "there"
    url = opener.url("there") if kind == "postgresql" else ""
    run_later_version(
        tmp_path,
        there,
        url,
        "from pathlib import Path; from putback.workshop.exchange.backup import restore;"
        f"restore(Path({str(old.folder)!r}), opened.entries, opened.photos);"
        "print(opened.entries.position('plover-1'), opened.entries.shape()['store'])",
        says="4 9999_later",
    )


LATER = """
from django.db import migrations, models

class Migration(migrations.Migration):
    dependencies = [("store", "{newest}")]
    operations = [
        migrations.AddField("logbookrow", "colour", models.CharField(default="", max_length=20))
    ]
"""


def write_later_version(folder):
    """Write the migrations of a version that is not there yet: today's, and one more."""
    package = folder / "later_version"
    package.mkdir()
    (package / "__init__.py").touch()
    for name in MIGRATIONS:
        there = f"putback.web.store.migrations.{name}"
        same = (
            f"from importlib import import_module\nMigration = import_module({there!r}).Migration"
        )
        (package / f"{name}.py").write_text(same)
    (package / "9999_later.py").write_text(LATER.format(newest=MIGRATIONS[-1]))


def run_later_version(folder, home, url, program, *, says):
    """Run a program with an open store, as a version with one migration more would."""
    later = (
        f"import sys; sys.path.insert(0, {str(folder)!r});"
        "from django.conf import settings; import django;"
        "from putback.web.settings import sqlite, site_settings;"
        "settings.configure(**site_settings(sqlite(':memory:'),"
        " MIGRATION_MODULES={'store': 'later_version'}));"
        "django.setup();"
        "from putback.web.store import setup;"
        f"opened = setup({str(home)!r}, {url!r});"
    )
    done = subprocess.run(
        [sys.executable, "-c", later + program], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == says
