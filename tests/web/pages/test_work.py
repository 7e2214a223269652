"""The pages of the work at hand, asked as a browser asks them."""

import re
from dataclasses import replace
from urllib.parse import unquote

import pytest

from putback.logbook.entries.base import DeviceId, PlaceId, Subject
from putback.logbook.entries.describing import PlaceDescribed
from putback.logbook.entries.working import JointUndone, StandingChanged
from putback.vehicle.assembly import Assembly
from putback.vehicle.generate import generate
from putback.vehicle.ids import AssemblyId, JointId, OpeningId, PartId, StandingId
from putback.vehicle.minutes import Minutes
from putback.vehicle.opening import Opening
from putback.vehicle.standing import Standing
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.plans.plans import follow, goal_called
from putback.workshop.saying.plain import read_plain
from tests.makers import vehicle
from tests.web.pages.test_plans import answer, planner
from tests.web.site import NEIGHBOUR, OWNER, VIEWER, WORKER

__all__ = ["planner"]  # a fixture

TO_LOOK = ("", "else", "pack-up", "resume", "newcomer")
TO_LOG = ("stuck", "not-now", "other-side", "say", "catch-up")


AXLE = vehicle(
    "tank - frame: 4 bolt M8 x 20; zone rear; in stands",
    "hub to frame, left = hub left - frame: 4 bolt M10 x 30; zone rear; in stands",
    "hub to frame, right = hub right - frame: 3 bolt M10 x 30; zone rear; in stands",
    Opening(OpeningId("outlet"), "tank outlet", PartId("tank"), (JointId("tank-frame"),), 2),
    Standing(StandingId("wheels"), "on its wheels", change_minutes={"stands": 10.0}),
    Standing(StandingId("stands"), "on stands", change_minutes={"wheels": 10.0}),
    datum="frame",
)
"""A vehicle of three joints, all undone on stands."""


def planned(site, *, stands="wheels", described=AXLE):
    """The vehicle of three joints, standing somehow, with the plan that is followed."""
    workshop, owner, laptop = site.here.workshop, site.people[OWNER], DeviceId("laptop")
    logbook = workshop.new_vehicle(described, who=owner, device=laptop)
    site.let_in(logbook)
    said = [StandingChanged(standing=StandingId(stands))]
    workshop.log(logbook, said, who=owner, device=laptop)
    follow(workshop, logbook, goal_called(in_its_garage(workshop, logbook), None))
    return logbook


def page_of(client, logbook, page=""):
    """The text of a page."""
    answer = client.get(f"/v/{logbook}/{page}")
    assert answer.status_code == 200
    return answer.content.decode()


def test_who_may_ask_for_which_page(site):
    """To look on is a viewer's; to log, a worker's; to others it is not there."""
    for page in (*TO_LOOK, *TO_LOG):
        asked = {
            name: site.browser(name).get(f"/v/{site.vehicle}/{page}").status_code
            for name in (OWNER, WORKER, VIEWER, NEIGHBOUR, None)
        }
        viewer = 200 if page in TO_LOOK else 403
        assert list(asked.values()) == [200, 200, viewer, 404, 404], page


def test_an_empty_vehicle_says_what_to_do_and_takes_three_parts_by_name(site):
    """They are described by it, and what is left open by them is shown."""
    client = site.browser(WORKER)
    assert "Begin with what comes off" in page_of(client, site.vehicle)
    said = {"part": ["radiator", "fan", "grille"], "tag": ""}
    answer = client.post(f"/v/{site.vehicle}/log/off", said)
    assert answer.status_code == 302
    assert "?logged=" in answer["Location"]
    told = client.get(answer["Location"]).content.decode()
    assert "Took off radiator." in told
    assert site.here.workshop.state(site.vehicle).parts_off == {"radiator", "fan", "grille"}
    assert "Begin with what comes off" not in told


def test_a_misread_tag_is_refused_and_nothing_is_logged(site):
    """In words, with a status that says so."""
    answer = site.browser(WORKER).post(
        f"/v/{site.vehicle}/log/off", {"part": "fan", "tag": "3CAK"}
    )
    assert answer.status_code == 400
    assert "does not check" in answer.content.decode()
    assert not site.here.workshop.state(site.vehicle).parts_off


def test_the_next_job_stands_first_with_what_is_open(site):
    """The change of standing comes before the job it is for; a viewer has nothing to press."""
    logbook = planned(site)
    told = page_of(site.browser(WORKER), logbook)
    assert "Stand it" in told
    assert "Rocked it: it does not move" in told
    assert 'class="ribbon"' in told
    assert "of 4 parts off" in told
    assert "Log it" not in page_of(site.browser(VIEWER), logbook)


def test_a_job_is_logged_as_the_form_has_it(site):
    """The fields of the page, sent as they are, undo the joint into the proposed bag."""
    logbook, client = planned(site, stands="stands"), site.browser(WORKER)
    told = page_of(client, logbook, "?job=joint:tank-frame")
    assert "4 bolts" in told
    assert "Closed: tank outlet, 2 ends" in told
    bag = told.split('name="1.tag" value="')[1][:4]
    said = {
        "1.kind": "joint undone",
        "1.joint": "tank-frame",
        "1.of": "4",
        "1.out": "3",
        "1.all_went": "tag",
        "1.tag": bag,
        "2.kind": "opening closed",
        "2.opening": "outlet",
    }
    assert client.post(f"/v/{logbook}/log", said).status_code == 302
    state = site.here.workshop.state(logbook)
    joint = state.joints["tank-frame"]
    assert (joint.out, joint.of, joint.tags) == (3, 4, (bag,))
    assert state.openings["outlet"].all_closed
    assert "3 of 4 are out" in page_of(client, logbook, "?job=joint:tank-frame")


@pytest.mark.parametrize("page", ["else", "not-now"])
def test_of_a_long_list_of_jobs_those_far_ahead_are_folded_up(site, page):
    """All are there to choose, what can be done first in sight: nobody scrolls past hundreds."""
    workshop, owner, laptop = site.here.workshop, site.people[OWNER], DeviceId("laptop")
    logbook = workshop.new_vehicle(generate(40, 1), who=owner, device=laptop)
    site.let_in(logbook)
    goal = goal_called(in_its_garage(workshop, logbook), "rolling")
    plan = follow(workshop, logbook, goal).plan.plan
    told = page_of(site.browser(WORKER), logbook, page)
    shown, folded = told.split('<details class="more">')
    jobs = [each.count('class="whole"') for each in (shown, folded)]
    assert jobs == [40, len(plan.steps) - 40]
    assert f"<summary>{jobs[1]} more</summary>" in folded


def test_a_job_tapped_in_a_list_of_before_is_not_turned_into_its_opposite(site):
    """What somebody undid meanwhile is not to be tightened by whoever taps "undo"."""
    logbook, client = planned(site, stands="stands"), site.browser(WORKER)
    found = re.search(
        r'\?(job=joint%3A([^&"]+))&amp;for=undone"', page_of(client, logbook, "else")
    )
    query, joint = found[1], JointId(unquote(found[2]))
    link = f"?{query}&for=undone"
    asks = f'name="1.joint" value="{joint}"'
    assert asks in page_of(client, logbook, link)
    said = [JointUndone(joint=joint)]
    site.here.workshop.log(logbook, said, who=site.people[OWNER], device=DeviceId("laptop"))
    page = page_of(client, logbook, link)
    assert "stands otherwise by now than in the list you tapped." in page
    assert asks not in page
    assert asks in page_of(client, logbook, f"?{query}")  # whoever means it by its name has it


def test_a_device_is_not_offered_the_tag_of_another(site):
    """Two phones never propose the same for a new bag."""
    logbook = planned(site, stands="stands")
    bags = {
        page_of(site.browser(name), logbook, "?job=joint:tank-frame").split(
            'name="1.tag" value="'
        )[1][:4]
        for name in (OWNER, WORKER)
    }
    assert len(bags) == 2


def test_a_line_is_shown_as_it_is_understood_and_logged(site):
    """A piece for the script; refused beside the field; logged by the form."""
    logbook, client = planned(site), site.browser(WORKER)
    piece = client.get(f"/v/{logbook}/say", {"line": "off tnak"}, headers={"HX-Request": "true"})
    assert "tank" in piece.content.decode()
    assert "<html" not in piece.content.decode()
    assert client.post(f"/v/{logbook}/say", {"line": "nonsense"}).status_code == 400
    answer = client.post(f"/v/{logbook}/say", {"line": "note swept"})
    assert answer.status_code == 302
    assert "Noted: swept." in client.get(answer["Location"]).content.decode()


def test_completion_is_of_the_vehicle_and_for_who_may_look(site):
    """Names that go on from what was typed."""
    logbook = planned(site)
    answer = site.browser(VIEWER).get(f"/api/vehicles/{logbook}/completions", {"line": "off ta"})
    assert "off tank" in answer.json()["lines"]
    assert site.browser(NEIGHBOUR).get(f"/api/vehicles/{logbook}/completions").status_code == 404


def test_the_cost_of_not_now_is_asked_on_the_desk(site):
    """Nothing is planned by the request itself."""
    logbook, client = planned(site), site.browser(WORKER)
    told = page_of(client, logbook, "not-now?what=joint:tank-frame")
    assert "Planning" in told
    slip = site.here.desk.claim("test")
    assert slip is not None
    assert slip.question.kind in {"cost", "strip"}


def test_the_hour_at_hand_is_asked_on_the_desk(site):
    """By a tap on how long there is; what is no time asks nothing."""
    logbook, client = planned(site), site.browser(WORKER)
    assert "Planning" in page_of(client, logbook, "resume?minutes=60")
    for wrong in ("x", "-5", "99999999", ""):
        assert "Planning" not in page_of(client, logbook, f"resume?minutes={wrong}")


def test_what_fits_the_hour_is_told_with_how_to_stand_it_and_how_sure_it_is(site, planner):
    """It stands on its wheels, and all is done on stands: so it is stood first, and rocked."""
    parts = {each.id: replace(each, minutes=Minutes(2, 5, 10)) for each in AXLE.parts.values()}
    logbook = planned(site, described=AXLE.with_records(parts=parts))
    client = site.browser(WORKER)
    page_of(client, logbook, "resume?minutes=60")
    answer(planner)
    told = page_of(client, logbook, "resume?minutes=60")
    hour = told.split("This fits, and ends closed and safe:")[1].split("</section>")[0]
    assert re.search(r"likely .*at worst .*done in time about \d times in 10", hour)
    first, then = hour.split("<li>")[1:3]
    assert "on stands" in first
    assert "Rock it and look underneath before anybody goes there." in first
    assert "?job=joint" in then


def test_a_sheet_is_put_in_order_without_a_script(site):
    """The button moves a line, and what was said of it stays; nothing is logged."""
    logbook, client = planned(site), site.browser(WORKER)
    before = site.here.workshop.store.position(logbook)
    keys = page_of(client, logbook, "catch-up").split('name="order" value="')[1:3]
    first, second = (each.split('"')[0] for each in keys)
    said = {"order": [first, second], "move": f"down:{first}", f"how-{first}": "not done"}
    told = client.post(f"/v/{logbook}/catch-up", said).content.decode()
    assert told.index(f'value="{second}"') < told.index(f'value="{first}"')
    assert '<option value="not done" selected>' in told
    assert site.here.workshop.store.position(logbook) == before


def sheet_of(client, logbook):
    """The keys of the lines of a contact sheet as it is shown."""
    return [
        each.split('"')[0]
        for each in page_of(client, logbook, "catch-up").split('name="order" value="')[1:]
    ]


def test_a_day_is_caught_up(site):
    """As one act of late entries of that day; without a day it says what is wanted."""
    logbook, client = planned(site), site.browser(WORKER)
    said = {"order": sheet_of(client, logbook), "rest": "not recorded", "precision": "day"}
    assert client.post(f"/v/{logbook}/catch-up", said | {"day": ""}).status_code == 400
    answer = client.post(f"/v/{logbook}/catch-up", said | {"day": "2031-04-02"})
    assert answer.status_code == 302
    late = [e for e in site.here.workshop.standing(logbook) if e.happened_at == "2031-04-02"]
    assert len({entry.act for entry in late}) == 1
    assert "joint undone" in {entry.kind for entry in late}


def test_a_sheet_logs_what_was_seen_on_it_and_nothing_else(site):
    """Others log on meanwhile: what the plan expects by then is not what this person did."""
    logbook, client = planned(site), site.browser(WORKER)
    first, second, *_ = sheet_of(client, logbook)
    action, _, what = first.partition("|")
    assert action == "undo"
    client.post(f"/v/{logbook}/log", {"1.kind": "joint undone", "1.joint": what.partition(":")[2]})
    said = {"rest": "as usual", "precision": "day", "day": "2031-04-02"}
    assert (
        client.post(f"/v/{logbook}/catch-up", said | {"order": [first, second]}).status_code == 302
    )
    late = [e for e in site.here.workshop.standing(logbook) if e.happened_at == "2031-04-02"]
    told = {subject for entry in late for subject in entry.body.subjects()} - {"standing"}
    assert told == {second.partition("|")[2]}
    answer = client.post(f"/v/{logbook}/catch-up", said | {"order": [first]})
    assert answer.status_code == 400
    assert "All of it has been logged meanwhile" in answer.content.decode()


def test_days_are_caught_up_by_names_where_nothing_is_planned(site):
    """An empty vehicle: several parts, a month, one act; naming none is told."""
    client, address = site.browser(WORKER), f"/v/{site.vehicle}/catch-up"
    assert 'name="part"' in client.get(address).content.decode()
    said = {"precision": "month", "day": "2031-04-02", "part": ["heater box", "", "wing"]}
    told = client.post(address, said | {"part": ["", ""]})
    assert (told.status_code, "Name at least one part." in told.content.decode()) == (400, True)
    assert client.post(address, said).status_code == 302
    late = [e for e in site.here.workshop.standing(site.vehicle) if e.happened_at == "2031-04"]
    assert len({entry.act for entry in late}) == 1
    off = [entry.body.part for entry in late if entry.kind == "part off"]
    assert off == ["heater-box", "wing"]


def test_a_line_says_of_which_day_it_is(site):
    """Shown before, and logged as a late entry."""
    client, address = site.browser(WORKER), f"/v/{site.vehicle}/say"
    said = {"line": "took the heater off @2031-04-02", "new": "1"}
    assert "When: 2 Apr 2031" in client.get(address, said).content.decode()
    assert client.post(address, said).status_code == 302
    logged = [e for e in site.here.workshop.standing(site.vehicle) if e.kind == "part off"]
    assert [entry.happened_at for entry in logged] == ["2031-04-02"]


def test_the_other_side_is_offered_after_a_side_is_done(site):
    """Prefilled, with a bag of its own; once it is done it is not offered."""
    logbook, client = planned(site), site.browser(WORKER)
    said = {"1.kind": "joint undone", "1.joint": "hub to frame, left"}
    client.post(f"/v/{logbook}/log", said)
    told = page_of(client, logbook, "other-side")
    assert 'value="hub to frame, right"' in told
    assert "Out now, of 3" in told
    client.post(f"/v/{logbook}/log", said | {"1.joint": "hub to frame, right"})
    assert "has no other side" in page_of(client, logbook, "other-side")


def test_the_torque_of_the_side_done_is_a_proposal_to_confirm(site):
    """Nothing is logged of it unless it is ticked; what is typed beside it wins."""
    logbook, client = planned(site), site.browser(WORKER)
    for side in ("left", "right"):
        said = {"1.kind": "joint undone", "1.joint": f"hub to frame, {side}"}
        client.post(f"/v/{logbook}/log", said)
    made = {"1.kind": "joint made", "1.tightness": "final", "1.joint": "hub to frame, left"}
    client.post(f"/v/{logbook}/log", made | {"1.torque_nm": "47 N·m"})
    told = " ".join(page_of(client, logbook, "other-side").split())
    assert 'type="checkbox" name="1.torque_nm" value="47.0 N·m"' in told
    assert "Pulled to 47 N·m (35 lbf·ft) on this side too" in told
    assert "As you logged for hub to frame, left. It is a proposal" in told
    there = made | {"1.joint": "hub to frame, right"}
    for sent, logged in (([""], None), (["47.0 N·m", ""], 47.0), (["47.0 N·m", "50 N·m"], 50.0)):
        client.post(f"/v/{logbook}/log", there | {"1.torque_nm": sent})
        state = site.here.workshop.state(logbook)
        assert state.joints[JointId("hub to frame, right")].torque_nm == logged


@pytest.mark.parametrize("job", ["part:nothing", "nonsense", "joint:"])
def test_a_job_that_is_not_there_is_not_found(site, job):
    """In words, and not by a fault of ours."""
    assert site.browser(WORKER).get(f"/v/{site.vehicle}/?job={job}").status_code == 404


def test_a_whole_that_comes_off_is_asked_for_its_place_once(site):
    """All its parts lie there then."""
    unit = Assembly(AssemblyId("unit"), "engine unit", (PartId("engine"), PartId("clutch")))
    about = vehicle("engine - frame", "clutch - engine", unit, datum="frame")
    workshop, owner = site.here.workshop, site.people[OWNER]
    logbook = workshop.new_vehicle(about, who=owner, device=DeviceId("laptop"))
    site.let_in(logbook)
    barn = [PlaceDescribed(place=PlaceId("barn"), name="Barn")]
    workshop.log(GARAGE, barn, who=owner, device=DeviceId("laptop"))
    client = site.browser(WORKER)
    told = page_of(client, logbook, "?job=assembly:unit")
    assert "All of it came out as one: 2 parts." in told
    fields = re.findall(r'<input type="hidden" name="([12]\.\w+)" value="([^"]+)">', told)
    assert ("2.whole", "unit") in fields
    assert 'name="1-2.place"' in told
    assert (
        client.post(f"/v/{logbook}/log", dict(fields) | {"1-2.place": "barn"}).status_code == 302
    )
    state = workshop.state(logbook)
    for part in ("engine", "clutch"):
        assert state.parts[PartId(part)].whole == "unit"
        assert state.chain_of(Subject(f"part:{part}")) == ("place:barn",)


def test_others_see_who_has_a_job_in_hand(site):
    """On their own page, for a while; nothing is logged by it and nothing is locked."""
    workshop, car = site.here.workshop, site.vehicle
    said = [{"kind": "described", "table": "parts", "id": "lid", "fields": {"name": "The lid"}}]
    workshop.log(car, read_plain(said), who=site.people[OWNER], device=DeviceId("laptop"))
    before = workshop.store.position(car)
    worker = site.browser(WORKER)
    taken = worker.post(f"/v/{car}/in-hand", {"what": "part:lid"})
    assert taken.status_code == 204
    assert workshop.store.position(car) == before
    told = "<span>is at work on</span> The lid."
    assert told in site.browser(OWNER).get(f"/v/{car}/").content.decode()
    assert told not in worker.get(f"/v/{car}/").content.decode()


def test_a_double_is_settled_by_one_tap(site):
    """Two people counted one joint otherwise: the page asks which is right, and knows then."""
    workshop, car = site.here.workshop, site.vehicle
    for who, out in ((OWNER, 4), (WORKER, 3)):
        said = [{"kind": "joint undone", "joint": "sump", "out": str(out), "of": "4"}]
        workshop.log(car, read_plain(said), who=site.people[who], device=DeviceId(f"{who}'s"))
    browser = site.browser(WORKER)
    shown = browser.get(f"/v/{car}/").content.decode()
    assert "Told twice: which is right?" in shown
    assert "Olive Owner" in shown
    double = re.search(r'name="double" value="(\w+)"', shown)[1]
    ways = re.findall(r'name="way" value="([^"]+)"><span>([^<]+)', shown)
    (way,) = [key for key, words in ways if words.startswith("3 of 4 are out")]
    settled = browser.post(f"/v/{car}/settle", {"double": double, "way": way})
    assert settled.status_code == 302
    assert "Told twice" not in browser.get(f"/v/{car}/").content.decode()
    assert workshop.state(car).joints["sump"].out == 3
    again = browser.post(f"/v/{car}/settle", {"double": double, "way": way})
    assert again.status_code == 400
    assert "settled already" in again.content.decode()


def test_with_nothing_known_each_page_of_the_work_says_what_can_be_done(site):
    """Nothing to choose from is no dead end."""
    client = site.browser(WORKER)
    assert "No joint of this vehicle is known yet" in page_of(client, site.vehicle, "stuck")
    assert "Say or type it" in page_of(client, site.vehicle, "stuck")
    assert "Back to the next job" in page_of(client, site.vehicle, "not-now")
    assert "/describe/new/goals" in page_of(client, site.vehicle, "strip")
    assert "/describe/new/goals" not in page_of(site.browser(VIEWER), site.vehicle, "strip")


@pytest.mark.parametrize("stands_at", ["bare", "reached"])
def test_where_no_job_is_left_the_actions_stand_at_the_thumb_all_the_same(site, stands_at):
    """Stuck, Say it, Photo and Pack up are one tap, Log it sends the form; a viewer has none."""
    logbook = site.vehicle
    if stands_at == "reached":
        logbook = planned(site, stands="stands")
        vehicle = site.here.workshop.state(logbook).vehicle
        deeds = [
            *({"kind": "joint undone", "joint": joint} for joint in vehicle.joints),
            *({"kind": "part off", "part": part} for part in vehicle.parts if part != "frame"),
        ]
        site.here.workshop.log(
            logbook, read_plain(deeds), who=site.people[WORKER], device=DeviceId("laptop")
        )
    told = page_of(site.browser(WORKER), logbook)
    bar = told.partition('id="thumb"')[2]
    assert 'form="off">Log it<' in bar
    assert told.count("Log it") == 1
    assert '<form class="fields" id="off"' in told
    for page in ("stuck", "say", "photos", "pack-up"):
        assert f'href="/v/{logbook}/{page}"' in bar, page
    assert "not-now" not in bar
    assert 'id="thumb"' not in page_of(site.browser(VIEWER), logbook)


def test_more_stuck_than_are_left_in_is_refused_and_a_stub_can_be_said(site):
    """Without a script the form is refused in words that name the count; the stub is found."""
    logbook, client = planned(site, stands="stands"), site.browser(WORKER)
    told = page_of(client, logbook, "stuck?joint=tank-frame")
    stub = re.search(r'name="7.what" value="([^"]+)"', told)[1]
    said = {"1.kind": "joint undone", "1.joint": "tank-frame", "1.of": "4", "1.out": "3"}
    answer = client.post(f"/v/{logbook}/log", said | {"1.stuck": "2"})
    assert answer.status_code == 400
    assert "3 out and 2 stuck are more than the 4 there are" in answer.content.decode()
    assert not site.here.workshop.state(logbook).joints["tank-frame"].out
    said |= {"1.stuck": "1", "1.sheared": "1", "7.kind": "found", "7.what": stub}
    said["7.of"] = "joint:tank-frame"
    assert client.post(f"/v/{logbook}/log", said).status_code == 302
    joint = site.here.workshop.state(logbook).joints["tank-frame"]
    assert (joint.out, joint.stuck, joint.destroyed) == (3, 1, 1)
    assert "the stub is still in" in page_of(client, logbook)
