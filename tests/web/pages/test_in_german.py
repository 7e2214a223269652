"""Every page in German: nothing that is ours is left in English, nor what a form finds wrong."""

import json
import re
from collections.abc import Iterator

import pytest

from putback.language import Told
from putback.logbook.entries.base import DeviceId
from putback.vehicle.goal import Goal
from putback.vehicle.ids import GoalId, PartId
from tests.language.texts import CODE, Knowing, texts_of
from tests.makers import vehicle
from tests.web.pages.test_access import NEVER, TABLE, asked
from tests.web.pages.test_every_page import PAGES
from tests.web.pages.test_plans import answer, planner, two_goals
from tests.web.site import NEIGHBOUR, OWNER, VIEWER, WORKER

__all__ = ["asked", "planner"]  # fixtures

OWN = frozenset(
    (
        *(OWNER, WORKER, VIEWER, NEIGHBOUR, "Old Dunlin", "Ned's barn find"),
        *(
            "lid",
            "lids",
            "frame",
            "pump",
            "lid to frame",
            "Test vehicle",
            "lid off",
            "all off",
            "test",
        ),
        *("lid-frame", "pump-frame", "olive-owner", "Deutsch"),
    )
)
"""What a person called something."""
WORDS = "the|is|are|and|with|from|that|which|nobody|of|undo|take|put|first|waits|logged|more"
DAY = r"(?<!\w)\d\d? [A-Z][a-z]{2} \d{4}"
ENGLISH = re.compile(rf"(?i)(?<![-\w])(?:{WORDS})(?![-\w])|{DAY}")
"""Words that no German text has, and a day as English writes it."""
TYPED = ("For example: took the radiator off", "As in: off radiator")
"""What is to be typed is in English whatever the page is in."""


class Page(Knowing):
    """Tells a page again, and knows its vehicle's own words and codes."""

    def __init__(self) -> None:
        """With a capital and without."""
        super().__init__({each[:1].upper() + each[1:] for each in OWN} | OWN)

    def _told(self, text: str) -> Told:
        code = text.strip(" .:;,")
        return Told(text, is_known=True) if CODE.fullmatch(code) else super()._told(text)

    def left_in_english(self, page: str) -> Iterator[str]:
        """Each text of a page that has no row, or one that leaves half of it as it is."""
        for text in texts_of(page):
            told = self.told(text)
            is_half = ENGLISH.search(told.text) and not text.startswith(TYPED)
            if is_half or not told.is_known:
                yield text


WHO = Page()


def left(answered) -> list[str]:
    """What is left in English of an answer: of a page, or of a fault that a script shows."""
    if not answered.content:
        return []
    text = answered.content.decode()
    if answered["Content-Type"].startswith("text/html"):
        return list(WHO.left_in_english(text))
    if answered["Content-Type"] == "application/json" and answered.status_code >= 400:
        fault = json.loads(text)
        said = [str(fault.get(each, "")) for each in ("message", "fault", "remedy")]
        return [each for each in said if not WHO.told(each).is_known]
    return []


def test_nothing_on_any_page_is_left_in_english(asked):
    """Every address of a small vehicle that is a page."""
    browser = asked.site.browser()
    assert len(PAGES) > 50
    wrong = {f"/{each}: {text}" for each in PAGES for text in left(browser.get(asked.path(each)))}
    assert "\n".join(sorted(wrong)) == ""


def test_nothing_that_a_form_finds_wrong_is_left_in_english(asked):
    """Every address that takes a POST, sent without what it asks for."""
    wrong = set()
    for address in (each for each, (_, least) in TABLE.items() if least != NEVER):
        answered = asked.site.browser().post(asked.path(address))
        if not answered.streaming:
            wrong |= {f"/{address}: {text}" for text in left(answered)}
        answered.close()
    assert "\n".join(sorted(wrong)) == ""


FAULTS = (
    ("describe/new/parts", {"name": "", "mass_kg": "heavy", "zone": "nowhere"}),
    ("describe/new/joints", {"name": "pump to frame", "parts": "pump", "torque_nm": "tight"}),
    ("log", {"1.kind": "joint undone", "1.joint": "lid-frame", "1.out": "many"}),
    ("log", {"1.kind": "joint undone", "1.joint": "lid-frme"}),
    ("log", {"1.kind": "joint made", "1.joint": "lid-frame", "1.torque_nm": "tight"}),
    ("log", {"1.kind": "part off", "1.part": "lid", "1.tag": "K7F5"}),
    ("log", {"1.kind": "put off", "1.what": "joint:lid-frame", "1.until": "soon"}),
    ("log", {"1.kind": "put off", "1.what": "joint:lid-frame", "1.why": "rain"}),
    ("log", {"1.kind": "drive home"}),
    ("say", {"line": "drive it home"}),
    ("say", {"line": "took the lid off into bag K7F5"}),
    ("calendar", {"hours-1": "whenever", "hoists": "7000", "lead_days": "-1", "due": "-"}),
    ("calendar", {"name-1": "lid:", "name-2": "lid", "name-3": "lid", "lead_days": "9999"}),
    ("calendar", {"begin": "2032-01-02", "due": "2032-01-01"}),
)
"""Forms filled in wrongly: describing, logging, *not now*, saying it in a line, who works when."""


@pytest.mark.parametrize(("address", "typed"), FAULTS)
def test_a_fault_beside_its_field_is_told_in_german(asked, address, typed):
    """As the page shows it, and as the script does."""
    browser = asked.site.browser()
    for more in ({}, {"hx-request": "true"}):
        answered = browser.post(f"/v/{asked.site.vehicle}/{address}", typed, headers=more)
        assert "\n".join(left(answered)) == ""


def planned(site, planner) -> str:
    """A vehicle of which the pump is off, with a plan on hand for the rest and for the rebuild."""
    logbook = two_goals(site)
    browser = site.browser()
    for entry in (("joint undone", "joint", "pump-frame"), ("part off", "part", "pump")):
        kind, field, what = entry
        browser.post(f"/v/{logbook}/log", {"1.kind": kind, f"1.{field}": what})
    return logbook


ASKED_OF_A_PLAN = (
    *("", "strip?everything=1", "rebuild", "else", "resume", "resume?minutes=60", "newcomer"),
    *("pack-up", "catch-up"),
    *("reach?what=lid", "ties?what=lid", "why?what=joint:lid-frame", "what-if?lines=took+lid+off"),
    *("stuck?what=joint:lid-frame", "not-now?what=joint:lid-frame", "?job=part:lid", "parts"),
    *("part/lid", "part/pump", "joint/lid-frame", "hardware", "places", "photos", "book", "paper"),
)


def test_a_plan_is_told_in_german(site, planner):
    """Its jobs, what they cost and what they wait for: asked, while it is made, and answered."""
    logbook, browser = planned(site, planner), site.browser()
    wrong = set()
    for _ in range(2):
        for page in ASKED_OF_A_PLAN:
            answered = browser.get(f"/v/{logbook}/{page}")
            assert answered.status_code == 200, page
            wrong |= {f"/{page}: {text}" for text in left(answered)}
        answer(planner)
    assert "\n".join(sorted(wrong)) == ""


def test_what_shuts_a_goal_out_is_told_in_german_with_what_would_help(site, planner):
    """On every page that has no plan then: the facts, and each way out of it."""
    facts = ("lid - frame: 4 bolt M8 x 20", "pump - frame: 2 bolt M6 x 16")
    goal = Goal(GoalId("all off"), "all off", PartId("frame"), off_rest=True)
    knot = vehicle(*facts, goal, "lid before pump: test", "pump before lid: test")
    who = site.people[OWNER]
    logbook = site.here.workshop.new_vehicle(knot, who=who, device=DeviceId("laptop"))
    site.let_in(logbook)
    browser, pages = site.browser(), ("", "strip", "resume?minutes=60", "what-if?lines=note+lid")
    shown = {}
    for _ in range(2):
        shown = {page: browser.get(f"/v/{logbook}/{page}") for page in pages}
        answer(planner)
    assert "\n".join(text for answered in shown.values() for text in left(answered)) == ""
    ways_out = "Lid did not have to wait for pump (before b2)"
    leads = "What stands against it, and what would help"
    told = {page: found.content.decode() for page, found in shown.items()}
    assert [ways_out in told[page] for page in pages] == [False, True, False, True]
    assert [leads in told[page] for page in pages] == [True, False, True, False]


def test_what_shuts_a_rebuild_out_is_told_in_german(site, planner):
    """The steps that come before one another, by what, and what would have to be otherwise."""
    facts = ("lid - frame: 4 bolt M8 x 20", "pump - frame: 2 bolt M6 x 16")
    before = ("lid before pump: test (rebuild)", "pump before lid: test (rebuild)")
    knot = vehicle(*facts, *before, datum="frame")
    who = site.people[OWNER]
    logbook = site.here.workshop.new_vehicle(knot, who=who, device=DeviceId("laptop"))
    site.let_in(logbook)
    browser = site.browser()
    for part in ("lid", "pump"):
        for kind, what in (("joint undone", f"{part}-frame"), ("part off", part)):
            field = kind.partition(" ")[0]
            browser.post(f"/v/{logbook}/log", {"1.kind": kind, f"1.{field}": what})
    shown = ""
    for _ in range(2):
        answered = browser.get(f"/v/{logbook}/rebuild")
        shown = answered.content.decode()
        assert "\n".join(left(answered)) == ""
        answer(planner)
    assert "“lid” goes on before “pump” goes on (lid comes first: test)" in shown
    assert "Pump did not have to wait for lid" in shown
    german = browser.get(f"/v/{logbook}/rebuild", headers={"accept-language": "de"})
    assert "„lid“ ansetzen vor „pump“ ansetzen (zuerst kommt lid: test)" in german.content.decode()


def test_the_calendar_is_told_in_german(site, planner):
    """Days, chances, what is waited for, the words of jobs."""
    logbook, browser = planned(site, planner), site.browser()
    sent = {"1.kind": "sent out", "1.what.0": "part:pump", "1.firm": "lid", "1.due": "2090-02-01"}
    assert browser.post(f"/v/{logbook}/log", sent).status_code == 302
    hours = {"name-1": "lid", "hours-1": "Sat 9-17", "due": "2090-01-01"}
    hours |= {"shut-1-from": "2089-01-03", "shut-1-since": "13:00", "shut-1-till": "17:00"}
    for typed in ({}, hours):
        browser.post(f"/v/{logbook}/calendar", typed)
        for _ in range(2):
            browser.get(f"/v/{logbook}/calendar?way=rebuild")
            answer(planner)
        told = browser.get(f"/v/{logbook}/calendar?way=rebuild")
        assert b"days.ics" in told.content
        assert "\n".join(left(told)) == ""


def test_a_row_that_is_missing_is_noticed(asked, monkeypatch):
    """The tests above can fail."""
    rows = {english: other for english, other in WHO.rows.items() if english != "no network"}
    monkeypatch.setattr(WHO, "rows", rows)
    monkeypatch.setattr(WHO, "told", WHO._told)
    assert "No network" in " ".join(left(asked.site.browser().get("/offline")))
