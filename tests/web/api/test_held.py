"""What a phone holds of a vehicle: all that is left, and it agrees with what logging comes to."""

import json

import pytest

from putback.logbook.entries.base import DeviceId
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.now.held import held
from putback.workshop.plans.plans import follow, goal_called
from putback.workshop.saying.plain import read_plain
from tests.pictures.photographs import photo
from tests.web.site import OWNER, VIEWER


@pytest.fixture
def site(demo_site):
    """Every site here has the demo."""
    return demo_site


def planned_demo(site):
    """The demo in the middle of its strip, planned."""
    demo, workshop = site.demo(), site.here.workshop
    follow(workshop, demo, goal_called(in_its_garage(workshop, demo), None))
    return demo


def test_a_phone_is_given_all_that_it_needs_and_nothing_twice(site, monkeypatch):
    """Jobs, cards and tags; asked again, it is told that nothing changed."""
    demo = planned_demo(site)
    browser = site.browser(OWNER)
    answer = browser.get(f"/api/vehicles/{demo}/held")
    assert answer.status_code == 200
    found = answer.json()
    first = found["jobs"][0]
    assert found["may_log"]
    assert len(found["tags"]) >= 8
    assert first["card"]["title"]
    assert first["log"]
    assert found["open"]
    assert len(answer.content) < 400_000
    again = browser.get(f"/api/vehicles/{demo}/held", headers={"If-None-Match": answer["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    picture = site.here.workshop.photos.put(photo())
    monkeypatch.setattr("putback.web.api.held.MOST_PHOTOS", 1)
    of = [each["card"]["what"] for each in found["jobs"][:2]]
    entries = [{"kind": "photo", "photo": picture, "of": of}]
    laptop = DeviceId("laptop")
    workshop, owner = site.here.workshop, site.people[OWNER]
    workshop.log(demo, read_plain(entries), who=owner, device=laptop)
    later = browser.get(f"/api/vehicles/{demo}/held", headers={"If-None-Match": answer["ETag"]})
    assert later.status_code == 200
    assert later.json()["position"] == found["position"] + 1
    held_photo, *others = (each["photo"] for each in later.json()["jobs"])
    assert held_photo["photo"] == picture
    assert held_photo["words"].startswith("From before: ")
    assert not any(others), "a phone has little room"


def test_who_only_looks_on_is_given_no_tags(site):
    """A viewer holds the vehicle, and may not log."""
    found = site.browser(VIEWER).get(f"/api/vehicles/{site.vehicle}/held").json()
    assert (found["may_log"], found["tags"]) == (False, [])


def test_each_job_is_done_by_what_it_is_logged_as(site):
    """Logged as it says, a job is left no more, and only that one: step by step, to the goal."""
    demo, workshop = planned_demo(site), site.here.workshop
    before = held(workshop, demo)
    assert before.jobs
    for job in before.jobs:
        bodies = read_plain(json.loads(json.dumps(job.log)))
        workshop.log(demo, bodies, who=site.people[OWNER], device=DeviceId("laptop"))
        left = [each.card.what for each in held(workshop, demo).jobs]
        assert left == [each.card.what for each in before.jobs[-len(left) :]] if left else True
        assert job.card.what not in left or job.card.deed == "cracked"
    assert left == []
