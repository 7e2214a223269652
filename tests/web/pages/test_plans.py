"""The pages of plans: what is known at once, what is asked of the planner, and who may do what."""

from dataclasses import replace

import pytest

from putback.logbook.entries.base import DeviceId, LogbookId
from putback.planning.again.differ import Aspect, Difference
from putback.planning.alternatives import Alternative
from putback.vehicle.goal import Goal
from putback.vehicle.ids import GoalId, PartId
from putback.workshop.desk import Stage, plan_on_hand, put
from putback.workshop.desk.on_hand import rebuild_on_hand
from putback.workshop.desk.put import OTHER_REBUILDS
from putback.workshop.desk.questions import adapter
from putback.workshop.plans.plans import Followed, from_bytes
from tests.makers import vehicle
from tests.web.site import NEIGHBOUR, OWNER, VIEWER, WORKER

PAGES = ["strip", "rebuild", "reach", "ties", "why", "what-if"]


@pytest.fixture
def site(demo_site):
    """Every site here has the demo."""
    return demo_site


@pytest.fixture
def planner(site):
    """A planner at the desk of the site, that answers when it is told to."""
    from putback.workshop.desk.planner import Planner

    return Planner(site.here.workshop, site.here.desk, "one", site.opened.desk.close)


def answer(planner) -> None:
    """Let it answer all that waits."""
    while planner.answer_one():
        pass


def text(response) -> str:
    """The page, its white space made even."""
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def test_a_stranger_sees_no_plan(site):
    """Whoever has a role may look, on an empty vehicle as well; to others it is not there."""
    statuses = {OWNER: 200, WORKER: 200, VIEWER: 200, NEIGHBOUR: 404, None: 404}
    for who, status in statuses.items():
        browser = site.browser(who)
        for name in PAGES:
            found = browser.get(f"/v/{site.vehicle}/{name}")
            assert found.status_code == status, (name, who)


def test_without_a_goal_the_strip_says_what_is_missing(site):
    """And nothing is put on the desk."""
    page = text(site.browser().get(f"/v/{site.vehicle}/strip"))
    assert "No goal is described yet." in page
    assert site.here.desk.claim("two") is None


def test_the_strip_is_planned_and_shown(site, planner):
    """First that it is being planned, with a way to stop it; then sittings, jobs and the bound."""
    demo, browser = site.demo(), site.browser(VIEWER)
    page = text(browser.get(f"/v/{demo}/strip"))
    assert "<b>Planning</b>" in page
    assert ">Stop</button>" not in page
    assert ">Stop</button>" in text(site.browser(WORKER).get(f"/v/{demo}/strip"))
    answer(planner)
    page = text(browser.get(f"/v/{demo}/strip"))
    assert "<b>Planning</b>" not in page
    assert "No order can be shorter than" in page
    found = plan_on_hand(site.here.workshop, demo)
    assert site.here.workshop.state(demo).name_of(found.steps[0].what) in page
    more = text(browser.get(f"/v/{demo}/strip?at=1&all=1"))
    assert more.count('<li class="job">') > 0


def test_asking_how_far_it_is_tells_when_it_is_there(site, planner):
    """The piece asks on while it is open, and then tells the page."""
    demo, browser = site.demo(), site.browser(VIEWER)
    slip = put(site.here.desk, site.here.workshop, demo, "rebuild")
    piece = browser.get(f"/v/{demo}/asked/{slip.id}", headers={"HX-Request": "true"})
    assert "Planning" in text(piece)
    assert "HX-Trigger" not in piece.headers
    answer(planner)
    piece = browser.get(f"/v/{demo}/asked/{slip.id}", headers={"HX-Request": "true"})
    assert piece.headers["HX-Trigger"] == "planned"
    elsewhere = browser.get(f"/v/{site.vehicle}/asked/{slip.id}")
    assert elsewhere.status_code == 404


def test_a_question_that_is_gone_sends_the_page_to_ask_anew(site):
    """What waited is thrown away when the logbook goes on; the page does not wait for ever."""
    browser, address = site.browser(VIEWER), f"/v/{site.vehicle}/asked/{'0' * 32}"
    piece = browser.get(address, headers={"HX-Request": "true"})
    assert (piece.status_code, piece.headers["HX-Trigger"]) == (200, "planned")
    assert "Planning" not in text(piece)
    assert browser.get(address).status_code == 404


def test_what_is_pressed_of_a_question_that_is_gone_leads_back_to_the_page(site):
    """Its page asks anew there; an order of then is not followed, and that is said."""
    worker, there = site.browser(WORKER), f"/v/{site.vehicle}"
    gone = f"{there}/asked/{'0' * 32}"
    piece = worker.post(f"{gone}/stop", headers={"HX-Request": "true"})
    assert (piece.status_code, piece.headers["HX-Trigger"]) == (200, "planned")
    for way in ("stop", "again"):
        back = worker.post(f"{gone}/{way}", {"next": f"{there}/rebuild"})
        assert (back.status_code, back["Location"]) == (302, f"{there}/rebuild")
    odd = worker.post(f"{gone}/stop", {"next": "rebuild"})  # no address of ours, and no route
    assert (odd.status_code, odd["Location"]) == (302, "rebuild")
    assert site.here.desk.claim("one") is None
    for page in ("strip", "rebuild"):
        refused = worker.post(f"{there}/{page}/choose", {"slip": "0" * 32, "number": "1"})
        assert refused.status_code == 400
        assert "something was logged since" in refused.content.decode().casefold()


def test_planning_is_stopped_and_begun_again(site):
    """By a worker; a viewer may not, and looking at the page does not begin it again."""
    demo, worker = site.demo(), site.browser(WORKER)
    slip = plan_on_hand(site.here.workshop, demo, site.here.desk).slip
    address = f"/v/{demo}/asked/{slip.id}"
    assert site.browser(VIEWER).post(f"{address}/stop").status_code == 403
    assert worker.post(f"{address}/stop").status_code == 302
    assert "Planning was stopped." in text(worker.get(f"/v/{demo}/strip"))
    assert site.here.desk.look(slip.id).stage is Stage.CANCELLED
    assert worker.post(f"{address}/again").status_code == 302
    assert site.here.desk.look(slip.id).stage is Stage.WAITING


@pytest.mark.slow
def test_another_order_is_chosen_by_one_tap(site, planner):
    """It is pinned, nothing is logged; after the next entry the same tap is refused."""
    demo, worker = site.demo(), site.browser(WORKER)
    workshop, desk = site.here.workshop, site.here.desk
    plan_on_hand(workshop, demo, desk)
    answer(planner)
    goal = plan_on_hand(workshop, demo).goal.id
    page = text(worker.get(f"/v/{demo}/strip?goal={goal}&others=1"))
    assert "<b>Planning</b>" in page
    answer(planner)
    slip = put(desk, workshop, demo, "alternatives", {"goal": goal})
    assert slip.stage is Stage.ANSWERED
    page = text(worker.get(f"/v/{demo}/strip?goal={goal}&others=1"))
    tap = {"slip": slip.id, "goal": goal, "number": "1"}
    if "Follow this order" not in page:
        assert "No other order differs" in page
        return
    position = workshop.store.position(demo)
    assert site.browser(VIEWER).post(f"/v/{demo}/strip/choose", tap).status_code == 403
    assert worker.post(f"/v/{demo}/strip/choose", tap).status_code == 302
    assert workshop.store.position(demo) == position
    found = plan_on_hand(workshop, demo, desk)
    assert (found.pinned, found.is_fresh) == (True, True)
    assert worker.post(f"/v/{demo}/strip/choose", tap).status_code == 400


def test_an_order_is_forgotten(site, planner):
    """Nothing is kept of it, and a fresh plan waits to be made."""
    demo, worker = site.demo(), site.browser(WORKER)
    plan_on_hand(site.here.workshop, demo, site.here.desk)
    answer(planner)
    found = plan_on_hand(site.here.workshop, demo, site.here.desk)
    assert worker.post(f"/v/{demo}/strip/afresh", {"goal": found.goal.id}).status_code == 302
    assert plan_on_hand(site.here.workshop, demo).plan is None
    assert site.here.desk.claim("two").question.kind == "strip"
    assert worker.post(f"/v/{demo}/strip/afresh", {"goal": "moon"}).status_code == 400


def test_what_is_not_found_is_offered_to_tap_on(site):
    """Reach, why and ties say what is like it."""
    demo, browser = site.demo(), site.browser(VIEWER)
    name = next(iter(site.here.workshop.state(demo).vehicle.parts.values())).name
    for page in ("reach", "why", "ties"):
        found = text(browser.get(f"/v/{demo}/{page}", {"what": f"{name}zz"}))
        assert "Did you mean:" in found
        assert "<b>Planning</b>" not in found


def test_ties_are_ticked_by_an_entry_each(site):
    """The form of a line logs that joint undone; the next walk-round asks to look at it."""
    demo, worker = site.demo(), site.browser(WORKER)
    page = text(worker.get(f"/v/{demo}/ties", {"what": "assembly:ENGINE"}))
    assert "look at every tie yourself" in page.casefold()
    assert 'name="1.kind" value="joint undone"' in page
    joint = page.split('name="1.joint" value="')[1].split('"')[0]
    said = {"1.kind": "joint undone", "1.joint": joint}
    assert worker.post(f"/v/{demo}/log", said).status_code == 302
    assert joint in site.here.workshop.state(demo).undone_joints
    page = text(worker.get(f"/v/{demo}/ties", {"what": "assembly:ENGINE"}))
    tick = page.split(f'name="1.joint" value="{joint}"')[0].rsplit('name="1.kind" value="', 1)[1]
    assert tick.startswith("seen free")
    viewer = text(site.browser(VIEWER).get(f"/v/{demo}/ties", {"what": "assembly:ENGINE"}))
    assert 'name="1.kind"' not in viewer


def test_why_and_what_if_are_answered(site, planner):
    """Each asks the planner, and shows the answer once it is there."""
    demo, browser = site.demo(), site.browser(VIEWER)
    plan_on_hand(site.here.workshop, demo, site.here.desk)
    answer(planner)
    step = plan_on_hand(site.here.workshop, demo).steps[-1]
    browser.get(f"/v/{demo}/why", {"what": step.what})
    browser.get(f"/v/{demo}/reach", {"what": step.what})
    browser.get(f"/v/{demo}/what-if", {"lines": "drive it to the moon"})
    answer(planner)
    assert "It is done for" in text(browser.get(f"/v/{demo}/why", {"what": step.what}))
    assert "To get at" in text(browser.get(f"/v/{demo}/reach", {"what": step.what}))
    refused = text(browser.get(f"/v/{demo}/what-if", {"lines": "drive it to the moon"}))
    assert "no kind of entry" in refused.casefold()


def test_a_plan_that_is_kept_reads_back(site, planner):
    """What the planner keeps is what the page shows."""
    demo = site.demo()
    plan_on_hand(site.here.workshop, demo, site.here.desk)
    answer(planner)
    found = plan_on_hand(site.here.workshop, demo)
    kept = site.here.workshop.store.kept_plan(demo, GoalId(found.goal.id))
    followed = from_bytes(kept.blob)
    assert isinstance(followed, Followed)
    assert followed.plan == found.plan


def two_goals(site) -> LogbookId:
    """A vehicle of which first the lid and then all is to come off; the lid is off."""
    about = vehicle(
        "lid - frame: 4 bolt M8 x 20",
        "pump - frame: 2 bolt M6 x 16",
        Goal(GoalId("lid off"), "lid off", PartId("frame"), off=(PartId("lid"),)),
        Goal(GoalId("all off"), "all off", PartId("frame"), off_rest=True),
    )
    workshop, owner = site.here.workshop, site.people[OWNER]
    logbook = workshop.new_vehicle(about, who=owner, device=DeviceId("laptop"))
    site.let_in(logbook)
    return logbook


def test_a_goal_chosen_on_the_strip_is_followed_by_now_and_can_be_struck_out(site, planner):
    """Looking at it changes nothing; a viewer only looks."""
    logbook, worker = two_goals(site), site.browser(WORKER)
    workshop = site.here.workshop
    assert plan_on_hand(workshop, logbook, site.here.desk).goal.id == "lid off"
    shown = text(worker.get(f"/v/{logbook}/strip?goal=all+off"))
    assert "Work towards it from now on" in shown
    assert "Work towards it" not in text(site.browser(VIEWER).get(f"/v/{logbook}/strip"))
    assert plan_on_hand(workshop, logbook).goal.id == "lid off"
    said = {"1.kind": "way chosen", "1.way": "strip", "1.goal": "all off"}
    answered = worker.post(f"/v/{logbook}/log", said)
    assert plan_on_hand(workshop, logbook, site.here.desk).goal.id == "all off"
    answer(planner)
    assert "Chose to strip to all off." in text(worker.get(answered["Location"]))
    assert "Strip to all off" in text(worker.get(f"/v/{logbook}/strip"))
    assert "Work towards it" not in text(worker.get(f"/v/{logbook}/strip"))
    act = answered["Location"].partition("logged=")[2]
    workshop.strike(logbook, act, who=site.people[WORKER], device=DeviceId("laptop"))
    assert plan_on_hand(workshop, logbook).goal.id == "lid off"


def test_the_rebuild_is_chosen_on_its_page_once_something_is_off(site, planner):
    """And then the strip is what is only looked at."""
    logbook, worker = two_goals(site), site.browser(WORKER)
    workshop = site.here.workshop
    for kind, what in (("joint undone", "lid-frame"), ("part off", "lid")):
        field = "joint" if kind == "joint undone" else "part"
        worker.post(f"/v/{logbook}/log", {"1.kind": kind, f"1.{field}": what})
    worker.get(f"/v/{logbook}/rebuild")
    answer(planner)
    assert "Put it back from now on" in text(worker.get(f"/v/{logbook}/rebuild"))
    for kind, what in (("joint undone", "pump-frame"), ("part off", "pump")):
        field = "joint" if kind == "joint undone" else "part"
        worker.post(f"/v/{logbook}/log", {"1.kind": kind, f"1.{field}": what})
    worker.get(f"/v/{logbook}/rebuild")
    answer(planner)
    shown = text(worker.get(f"/v/{logbook}/rebuild"))
    assert 'id="changed"' in shown
    assert "Logged: took off pump." in shown
    worker.post(f"/v/{logbook}/log", {"1.kind": "way chosen", "1.way": "rebuild"})
    assert plan_on_hand(workshop, logbook).way == "rebuild"
    assert "Put it back from now on" not in text(worker.get(f"/v/{logbook}/rebuild"))
    assert "Now and all else follow the rebuild" in text(worker.get(f"/v/{logbook}/strip"))


def taken_apart(site) -> LogbookId:
    """A vehicle of which lid and pump are off."""
    logbook, worker = two_goals(site), site.browser(WORKER)
    for name in ("pump", "lid"):
        worker.post(f"/v/{logbook}/log", {"1.kind": "joint undone", "1.joint": f"{name}-frame"})
        worker.post(f"/v/{logbook}/log", {"1.kind": "part off", "1.part": name})
    return logbook


def test_a_rebuild_is_looked_at_as_far_as_one_wants(site, planner):
    """To all of it, with its bound; until a part is back on; what is not there is said."""
    logbook, browser = taken_apart(site), site.browser(VIEWER)
    browser.get(f"/v/{logbook}/rebuild")
    answer(planner)
    page = text(browser.get(f"/v/{logbook}/rebuild"))
    assert "No order can be shorter than" in page
    assert "Look so far" not in page
    lid = text(browser.get(f"/v/{logbook}/rebuild", {"to": "lid"}))
    assert "as far as: lid back on" in lid
    assert "which has 6 jobs; what comes after is not shown" in lid
    frame = text(browser.get(f"/v/{logbook}/rebuild", {"to": "frame"}))
    assert "No job that is left leads there" in frame
    assert "Did you mean:" in text(browser.get(f"/v/{logbook}/rebuild", {"to": "lidd"}))


def test_another_order_of_the_rebuild_is_chosen_and_forgotten(site, planner):
    """Pinned without an entry, kept to by the planner; then forgotten; old or odd taps refused."""
    logbook, worker = taken_apart(site), site.browser(WORKER)
    workshop, desk = site.here.workshop, site.here.desk
    assert rebuild_on_hand(workshop, logbook, desk).is_coming
    answer(planner)
    assert "<b>Planning</b>" in text(worker.get(f"/v/{logbook}/rebuild?others=1"))
    slip = put(desk, workshop, logbook, OTHER_REBUILDS)
    usual = rebuild_on_hand(workshop, logbook).plan
    turned = replace(usual, steps=(*usual.steps[3:], *usual.steps[:3]))
    told = (Difference(Aspect.ZONES, "the front finished first", is_gain=True),)
    other = Alternative(turned, told, "the front finished first; takes as long", 0.0)
    assert desk.claim("one") is not None
    desk.finish(slip.id, "one", adapter(OTHER_REBUILDS).dump_json((other,)))
    page = text(worker.get(f"/v/{logbook}/rebuild?others=1"))
    assert "The front finished first" in page
    assert "Follow this order" in page
    tap, at = {"slip": slip.id, "number": "1"}, f"/v/{logbook}/rebuild"
    position = workshop.store.position(logbook)
    assert site.browser(VIEWER).post(f"{at}/choose", tap).status_code == 403
    assert worker.post(f"{at}/choose", tap | {"number": "2"}).status_code == 400
    assert worker.post(f"{at}/choose", tap).status_code == 302
    answer(planner)
    found = rebuild_on_hand(workshop, logbook)
    assert workshop.store.position(logbook) == position
    assert (found.pinned, found.is_fresh) == (True, True)
    assert [step.what for step in found.steps] == [step.what for step in turned.steps]
    assert "You chose this order" in text(worker.get(at))
    assert worker.post(f"{at}/choose", tap).status_code == 400
    assert worker.post(f"{at}/afresh").status_code == 302
    answer(planner)
    found = rebuild_on_hand(workshop, logbook)
    assert (found.pinned, found.steps) == (False, usual.steps)
