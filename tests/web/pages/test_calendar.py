"""The page of the calendar: hours are kept, the planner is asked, and the answer is told."""

from dataclasses import replace
from datetime import date

import pytest

from putback.logbook.entries.base import DeviceId
from putback.planning.timetable import RUNS
from putback.vehicle.vehicle import Vehicle
from putback.workshop.plans.calendar import calendar
from putback.workshop.plans.calendar_told import day_words
from putback.workshop.plans.wishes import Wishes, keep_wishes, kept_wishes
from putback.workshop.saying.plain import read_plain
from tests.makers import standing, vehicle
from tests.web.pages.test_plans import answer, planner, text
from tests.web.site import OWNER, VIEWER, WORKER

__all__ = ["planner"]  # a fixture

BOX = vehicle(
    "lid screws = lid - frame: 4 bolt M8 x 20; 30 min",
    "pump mounts = pump - frame: 2 bolt M6 x 16; 20 min",
    standing("wheels", "frame"),
    datum="frame",
)
FAR = date(2090, 1, 7)
"""A Saturday on which nothing of these tests begins late, whatever the clock shows."""


@pytest.fixture
def box(site) -> str:
    """A box whose lid and pump are off; the pump is at the plater's."""
    return taken_apart(site, BOX)


def taken_apart(site, vehicle: Vehicle) -> str:
    """Log of a vehicle like the box that its lid and pump are off."""
    said = [
        {"kind": "joint undone", "joint": "lid screws", "out": 4},
        {"kind": "part off", "part": "lid"},
        {"kind": "joint undone", "joint": "pump mounts", "out": 2},
        {"kind": "part off", "part": "pump"},
        {"kind": "sent out", "what": ["part:pump"], "firm": "plater", "due": "2090-02-01"},
    ]
    workshop, who = site.here.workshop, site.people[OWNER]
    logbook = workshop.new_vehicle(vehicle, who=who, device=DeviceId("laptop"))
    workshop.log(logbook, read_plain(said), who=who, device=DeviceId("laptop"))
    site.let_in(logbook)
    return logbook


def test_without_a_goal_the_page_says_what_is_missing(site):
    """And nothing is asked of the planner; the hours can be typed all the same."""
    page = text(site.browser().get(f"/v/{site.vehicle}/calendar"))
    assert f'<a href="/v/{site.vehicle}/strip" aria-current="page">' in page
    assert "No goal is described yet." in page
    assert "Keep and reckon" in page
    assert site.here.desk.claim("two") is None
    assert site.browser().get(f"/v/{site.vehicle}/calendar/days.ics").status_code == 404


def test_without_a_goal_what_is_off_goes_back(site, planner):
    """As at a prompt: the page shows the rebuild, and offers no other way to look."""
    logbook = taken_apart(site, replace(BOX, goals={}))
    browser, address = site.browser(VIEWER), f"/v/{logbook}/calendar"
    for _ in range(2):
        browser.get(address)
        answer(planner)
    page = text(browser.get(address))
    assert "Calendar of the rebuild" in page
    assert "No goal is described yet." not in page
    assert "<b>Promise " in page
    assert "Calendar of the work in hand" not in page
    assert browser.get(f"{address}/days.ics").status_code == 200


def test_the_plan_comes_first_and_then_its_calendar(site, box, planner):
    """What page and command line tell is one call: the same days, jobs and chances."""
    workshop = site.here.workshop
    keep_wishes(workshop, box, Wishes(persons=("Ann: Sat 9-17",), begin=FAR, due=FAR))
    browser, address = site.browser(VIEWER), f"/v/{box}/calendar?way=rebuild"
    assert "<b>Planning</b>" in text(browser.get(address))
    answer(planner)
    assert "<b>Planning</b>" in text(browser.get(address))
    answer(planner)
    page = text(browser.get(address))
    assert "<b>Planning</b>" not in page
    assert f'<a href="/v/{box}/rebuild" aria-current="page">' in page
    assert f'<a href="/v/{box}/strip">' in page
    chances = calendar(workshop, box, rebuild=True, runs=RUNS).forecast
    assert f"<b>Promise {day_words(chances.p95)}.</b>" in page
    assert f"<dt>Even chance</dt><dd>{day_words(chances.p50)}</dd>" in page
    assert f"<b>Met in {round(100 * chances.by_due)} of 100 runs.</b>" in page
    assert "<b>pump: plater</b><br>Promised for Wednesday, 1 Feb 2090." in page
    assert "days won for each day sooner." in page
    assert "No timetable of this plan ends sooner than the one below." in page
    assert f'<b>Put on:</b> <a href="/v/{box}/part/lid">lid</a>' in page
    assert "Ann · " in page
    assert "Estimates corrected" not in page
    assert "Keep and reckon" not in page
    assert "By 10\u202f000 runs with drawn durations" in browser.get(address).content.decode()
    german = browser.get(address, headers={"Accept-Language": "de"}).content.decode()
    assert "Aus 10\u202f000 Durchläufen mit gezogenen Dauern" in german


def test_the_days_go_along_as_a_file(site, box, planner):
    """Once they are reckoned, and in the language of whoever asks."""
    keep_wishes(site.here.workshop, box, Wishes(persons=("Ann: Sat 9-17",), begin=FAR))
    browser = site.browser(VIEWER)
    for _ in range(2):
        browser.get(f"/v/{box}/calendar?way=rebuild")
        answer(planner)
    german = {"Accept-Language": "de"}
    file = browser.get(f"/v/{box}/calendar/days.ics?way=rebuild", headers=german)
    assert file["Content-Type"] == "text/calendar; charset=utf-8"
    assert "attachment" in file["Content-Disposition"]
    said = file.content.decode().replace("\r\n ", "")
    assert "DTSTART:20900107T0900" in said
    assert "SUMMARY:Test vehicle" in said
    assert "Ansetzen: lid" in said


def test_who_works_when_is_kept_by_a_worker(site, box):
    """The page then names them; a viewer sees them, and may not change them."""
    address = f"/v/{box}/calendar"
    typed = {"name-1": "Zoë", "hours-1": "Sa 9-17", "due": FAR.isoformat()}
    assert site.browser(VIEWER).post(address, typed).status_code == 403
    kept = site.browser(WORKER).post(f"{address}?way=rebuild", typed)
    assert (kept.status_code, kept["Location"]) == (302, f"{address}?way=rebuild")
    wishes = kept_wishes(site.here.workshop, box)
    assert wishes == Wishes(persons=("Zoë: Sa 9-17",), due=FAR)
    assert 'value="Zoë"' in text(site.browser(WORKER).get(address))
    assert "<dt>Zoë</dt><dd>Sa 9-17</dd>" in text(site.browser(VIEWER).get(address))


def stamp(page: str) -> dict[str, str]:
    """What the form says of what was kept when it was shown."""
    return {"kept": page.split('name="kept" value="')[1].split('"')[0]}


def refused(response) -> str:
    """The page that says what is wrong."""
    assert response.status_code == 400
    return " ".join(response.content.decode().split())


def test_what_somebody_kept_meanwhile_is_shown_before_it_is_taken_back(site, box):
    """Two open the form; the second sees what the first kept, and nothing of theirs is lost."""
    workshop, address = site.here.workshop, f"/v/{box}/calendar"
    ann, ben = site.browser(WORKER), site.browser(OWNER)
    seen = stamp(text(ann.get(address)))
    until_noon = {"shut-1-from": "2090-01-03", "shut-1-till": "12:00"}
    ben.post(
        address,
        stamp(text(ben.get(address))) | {"name-1": "Ben", **until_noon, "due": "2090-02-01"},
    )
    mine = {"name-1": "Ann", "hours-1": "Sat 9-17"}
    wrong = ann.post(address, seen | mine | {"hoists": "none"})
    assert stamp(refused(wrong)) == seen
    page = refused(ann.post(address, seen | mine))
    assert "somebody kept other hours since this page was opened" in page
    assert '<dt>Who works when</dt><dd translate="no">Ben</dd>' in page
    assert '<dt>Due</dt><dd translate="no">2090-02-01</dd>' in page
    assert '<dt>When nobody works</dt><dd translate="no">2090-01-03 00:00-12:00</dd>' in page
    assert "<summary>When nobody works</summary>" in page
    assert 'value="Sat 9-17"' in page
    assert kept_wishes(workshop, box).persons == ("Ben",)
    assert ann.post(address, stamp(page) | mine).status_code == 302
    assert kept_wishes(workshop, box) == Wishes(persons=("Ann: Sat 9-17",))
    assert ben.post(address, stamp(page) | mine).status_code == 302  # both say the same
    page = refused(ben.post(address, stamp(page) | mine | {"due": "2090-02-01"}))
    assert "They took something out that you have here." in page


def test_what_cannot_be_meant_stands_beside_its_field_and_is_not_kept(site, box):
    """As it was typed; nothing that was kept before is lost."""
    address = f"/v/{box}/calendar"
    page = site.browser(WORKER).post(address, {"name-1": "Ann", "hours-1": "whenever"})
    assert page.status_code == 400
    said = " ".join(page.content.decode().split())
    assert 'value="whenever"' in said
    assert 'aria-describedby="hours-hint hours-1-wrong" aria-invalid="true"' in said
    assert '<p class="wrong" id="hours-1-wrong">“whenever” are no hours of work; write' in said
    assert kept_wishes(site.here.workshop, box) == Wishes()


def test_the_last_calendar_stays_until_the_next_is_there(site, box, planner):
    """After the next entry it says that it is of before; other hours are another calendar."""
    browser, address = site.browser(WORKER), f"/v/{box}/calendar?way=rebuild"
    for _ in range(2):
        browser.get(address)
        answer(planner)
    assert "reckoned before" not in text(browser.get(address))
    german = text(browser.get(address, headers={"Accept-Language": "de"}))
    assert "Vorausgesetzt: die Stunden sind Sa 9-17, Mi 18-21." in german
    entry = {"1.kind": "note", "1.text": "tea"}
    assert browser.post(f"/v/{box}/log", entry).status_code == 302
    page = text(browser.get(address))
    assert "This was reckoned before: something was logged since" in page
    assert "Promise " in page
    assert "days.ics" not in page
    browser.post(address, {"name-1": "Ann"})
    assert "Promise " not in text(browser.get(address))


def test_without_any_minutes_no_day_is_told(site, planner):
    """Neither to promise nor to take along; whoever may log is led to where minutes are given."""
    workshop, who = site.here.workshop, site.people[OWNER]
    bare = vehicle(
        "lid screws = lid - frame: 4 bolt M8 x 20; 0 min",
        standing("wheels", "frame"),
        datum="frame",
    )
    logbook = workshop.new_vehicle(bare, who=who, device=DeviceId("laptop"))
    said = [
        {"kind": "joint undone", "joint": "lid screws", "out": 4},
        {"kind": "part off", "part": "lid"},
    ]
    workshop.log(logbook, read_plain(said), who=who, device=DeviceId("laptop"))
    site.let_in(logbook)
    address = f"/v/{logbook}/calendar?way=rebuild"
    for _ in range(2):
        site.browser(VIEWER).get(address)
        answer(planner)
    seen = text(site.browser(VIEWER).get(address))
    assert "No job has minutes yet, so no day can be told." in seen
    for word in ("Promise", "When it is done", "The days ahead", "Describe the first"):
        assert word not in seen
    href = f'href="/v/{logbook}/describe/one/parts/lid">Describe the first of them</a>'
    assert href in text(site.browser(WORKER).get(address))
    german = site.browser(VIEWER).get(address, headers={"Accept-Language": "de"})
    assert "Noch hat keine Arbeit Minuten, darum lässt sich kein Tag nennen." in text(german)
    file = site.browser(VIEWER).get(f"/v/{logbook}/calendar/days.ics?way=rebuild")
    assert file.status_code == 404
