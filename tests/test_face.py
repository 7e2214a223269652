"""The library's face: a garage is opened, a vehicle begun, logged, asked and handed over."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from putback import (
    ImpossibleGoal,
    InputError,
    JointUndone,
    PartOff,
    garage_in_memory,
    open_bundle,
    open_garage,
)
from putback.errors import NotFound
from putback.logbook.entries.base import DeviceId
from putback.vehicle.joint import Consumable, FinalWhen
from putback.vehicle.part import Part
from putback.vehicle.standing import Standing, Support
from putback.workshop.exchange import with_partner
from putback.workshop.exchange.partners import Partner, Partners
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.workshop import Workshop
from tests.far import BesideFar
from tests.makers import vehicle

PUMP = vehicle(
    "lid - pump: 4 bolt M8x1.25x20",
    "pump - frame: 2 bolt M8x1.25x30",
    "lid blocks pump - frame",
    datum="frame",
)


@pytest.fixture
def garage():
    """Ann's garage, with nothing in it."""
    return garage_in_memory(who="Ann")


@pytest.fixture
def pump(garage):
    """A frame, a pump on it and a lid on the pump, described and untouched."""
    return garage.new_vehicle(PUMP)


def test_a_garage_lists_and_finds_its_vehicles(garage):
    """Vehicles go by name; one that is not there is answered with the nearest."""
    garage.new_vehicle("Small van")
    garage.new_vehicle("Big van")
    assert [each.name for each in garage.vehicles()] == ["Big van", "Small van"]
    assert garage.vehicle("small van").name == "Small van"
    with pytest.raises(InputError, match="no logbook 'Smal van'; did you mean 'Small van'"):
        garage.vehicle("Smal van")


def test_what_is_logged_is_of_whoever_opened_the_garage(pump):
    """Bodies of one call are one act, by the person and in the order given."""
    act = pump.log(JointUndone(joint="lid-pump"), PartOff(part="lid"))
    assert [entry.who for entry in act.entries] == ["Ann", "Ann"]
    assert {entry.act for entry in act.entries} == {act.id}
    assert pump.state().parts_off == {"lid"}
    assert pump.where("lid")[0] == "off"


def test_a_line_is_logged_as_on_the_command_line(pump):
    """Words are parted as in a shell; a quote left open is a person's mistake."""
    pump.say("undone lid-pump 3/4 stuck=1")
    assert pump.state().joints["lid-pump"].out == 3
    with pytest.raises(InputError, match="has a quote that does not end; close it"):
        pump.say('off "lid')


def test_a_place_said_of_one_vehicle_is_there_for_all(garage):
    """Places and people go into the garage's logbook, as they do on the command line."""
    van, truck = garage.new_vehicle("Van"), garage.new_vehicle("Truck")
    acts = [van.say("place Loft kind=store"), van.say("person ann 'Ann Smith'")]
    assert {entry.logbook for act in acts for entry in act.entries} == {"garage"}
    assert truck.state().places["loft"].name == "Loft"
    assert truck.state().name_of("person:ann") == "Ann Smith"
    assert not van.history("place:loft")


def test_a_part_may_be_new(garage):
    """A vehicle that nobody described is logged all the same."""
    van = garage.new_vehicle("Van")
    with pytest.raises(InputError, match="no part 'radiator'"):
        van.say("off radiator")
    van.say("off radiator tag=3CAH", new=True)
    assert van.where("radiator") == ("off", "in 3CAH")
    assert van.find("radiator") == "part:radiator"


@pytest.mark.parametrize(
    ("when", "written"),
    [
        (datetime(2031, 5, 2, 8, 30, tzinfo=UTC), "2031-05-02T08:30:00+00:00"),
        (date(2031, 5, 2), "2031-05-02"),
        ("2031-05", "2031-05"),
        ("", ""),
    ],
)
def test_when_is_written_as_exactly_as_it_is_known(pump, when, written):
    """A moment, a day, a month or unknown."""
    (entry,) = pump.log(PartOff(part="lid"), when=when).entries
    assert entry.happened_at == written


def test_a_moment_without_a_zone_is_of_this_place(pump):
    """It is written with the offset that this machine has on that day."""
    moment = datetime(2031, 5, 2, 8, 30)  # noqa: DTZ001 - the case in question
    (entry,) = pump.log(PartOff(part="lid"), when=moment).entries
    assert datetime.fromisoformat(entry.happened_at) == moment.astimezone()


def test_a_late_note_keeps_its_place(pump):
    """An entry said to come after another stands behind it in the history."""
    first = pump.log(JointUndone(joint="lid-pump", out=1, of=4))
    pump.log(JointUndone(joint="lid-pump", out=4, of=4))
    late = pump.log(JointUndone(joint="lid-pump", out=2, of=4), when="", after=first.entries[0].id)
    order = [entry.id for entry in pump.history("joint:lid-pump")]
    assert order.index(late.entries[0].id) > order.index(first.entries[0].id)


def test_a_strike_takes_an_act_out_and_another_brings_it_back(pump):
    """An act, then the strike itself, are struck out by identity."""
    act = pump.log(PartOff(part="lid"))
    strike = pump.strike(act.id, "it was the cover")
    assert pump.state().parts_off == set()
    assert pump.history("lid") == ()
    pump.strike(strike.id)
    assert pump.state().parts_off == {"lid"}


def test_what_is_open_is_listed_for_an_hour(pump):
    """Age counts: a logbook of today needs no backup yet, one of last year does."""
    pump.log(JointUndone(joint="lid-pump"))
    assert "hardware nowhere" in {item.rule for item in pump.open_items()}
    assert "no backup" not in {item.rule for item in pump.open_items()}
    later = datetime.now(UTC) + timedelta(days=365)
    assert "no backup" in {item.rule for item in pump.open_items(later)}


def test_the_hardware_check_counts_what_is_out(pump):
    """Four bolts out of six are still to go on."""
    assert pump.hardware_check().closes
    pump.log(JointUndone(joint="lid-pump", tag="3CAH"))
    check = pump.hardware_check()
    assert (check.closes, check.to_go_on, check.short) == (False, 4, 0)


def test_the_plans_are_of_the_state(pump):
    """Reach and strip go through the lid; what is off goes back on."""
    assert [step.what for step in pump.reach("pump-frame").steps] == [
        "joint:lid-pump",
        "part:lid",
        "joint:pump-frame",
    ]
    whole = pump.strip()
    assert whole == pump.strip(goal="bare frame")
    assert {step.what for step in whole.steps} >= {"part:lid", "part:pump"}
    pump.log(JointUndone(joint="lid-pump"), PartOff(part="lid"))
    assert len(pump.strip().steps) == len(whole.steps) - 2
    assert [str(step.action) for step in pump.rebuild().steps] == ["put on", "make", "tighten"]


def test_the_lists_of_the_rebuild_are_those_of_the_command_line():
    """What is not final, what to have new, what it takes and what to lay hands on."""
    described = vehicle("lid - frame: 4 bolt M8 x 20 + spring washer M8!", datum="frame")
    (joint,) = described.joints.values()
    later = replace(joint, final_when=FinalWhen.LADEN, consumables=(Consumable("copper grease"),))
    lid = described.with_records(joints={joint.id: later})
    log = garage_in_memory(who="ann").new_vehicle(lid)
    log.log(JointUndone(joint="lid-frame"), PartOff(part="lid"), when="2020-05-01")
    (final,) = log.finals()
    assert (final.joint, final.nipped) == ("lid-frame", None)
    plan = log.rebuild()
    assert log.to_have(plan) == log.to_have()
    assert [each.joints for each in log.to_have()] == [("lid-frame",)]
    assert log.used_up(plan) == log.used_up()
    assert [each.what for each in log.used_up()] == ["copper grease"]
    assert [each.part for each in log.hands()] == ["lid"]


def test_a_plan_is_followed_pinned_and_put_off(pump):
    """The order goes on from one asking to the next; the cost of putting off changes nothing."""
    first = pump.follow()
    assert first.is_first
    assert pump.follow().plan.plan == first.plan.plan
    assert pump.alternatives() == ()
    cost = pump.cost_of_putting_off("lid")
    assert (cost.in_plan, cost.waiting) == (True, ("joint:pump-frame", "part:pump"))
    assert pump.follow().plan.plan == first.plan.plan
    pump.pin(first.plan.plan)
    assert pump.follow().pinned
    assert not pump.follow(afresh=True).pinned


def test_a_rebuild_is_followed_and_looked_at_as_far_as_a_part(garage):
    """The first that goes back comes first; the same order is told and kept; none is better."""
    log = garage.new_vehicle(vehicle("lid - frame", "lamp - frame", datum="frame"))
    log.log(*(JointUndone(joint=f"{part}-frame") for part in ("lid", "lamp")))
    log.log(PartOff(part="lid"), PartOff(part="lamp"))
    plan = log.follow_rebuild().plan.plan
    assert log.follow_rebuild(afresh=True).plan.plan == plan
    first = log.rebuild_as_far_as(plan.steps[0].what)
    assert first == plan.steps[: len(first)] == log.rebuild_as_far_as(plan.steps[0].what, plan)
    assert plan.steps[0].what not in {step.what for step in plan.steps[len(first) :]}
    assert 1 < len(first) < len(plan.steps)
    assert log.rebuild_as_far_as("frame") == ()
    assert log.rebuild_alternatives() == ()


def test_what_was_put_off_until_a_day_that_is_past_is_not_put_off(garage):
    """A strip planned afresh is planned on the day of today."""
    car = vehicle("a - frame", "b - frame", "a - b", datum="frame")
    log = garage.new_vehicle(car)
    usual = [step.what for step in log.strip().steps]
    log.say(f"not-now {usual[0]} no-tool until=2020-05-04")
    assert [step.what for step in log.strip().steps] == usual


def test_what_has_cured_is_spoken_of_no_more(garage):
    """So is a rebuild; what is to cure for long still says so."""
    log = garage.new_vehicle(vehicle("a - frame", "c - frame", datum="frame"))
    for line in ("undone a-frame", "undone c-frame", "off c", "made a-frame final"):
        log.say(line)
    for until, told in (("2020-05-04", False), ("2999-05-04", True)):
        log.say(f"made a-frame final curing_until={until}")
        cautions = [each for step in log.rebuild().steps for each in step.cautions]
        assert any("cures until" in each for each in cautions) is told


def test_ties_are_found_and_ticked(pump):
    """What held is logged undone, and then seen free before that lift."""
    found = pump.ties("pump", apart_from=["frame"])
    assert ([tie.joint for tie in found.left], found.along[0].part) == (["pump-frame"], "lid")
    act = pump.tick(found, "pump-frame")
    assert [entry.kind for entry in act.entries] == ["joint undone"]
    act = pump.tick(pump.ties("pump"), "pump-frame")
    assert act.entries[0].body.before == "part:pump"
    assert [tie.seen_by for tie in pump.ties("pump").ties] == ["Ann"]
    with pytest.raises(InputError, match="'lid-pump' does not tie pump"):
        pump.tick(pump.ties("pump"), "lid-pump")


def test_the_balance_is_of_now_and_along_a_plan(garage):
    """As it stands, in a standing by its name, and after every step."""
    stands = Standing(
        "stands",
        "on stands",
        tuple(
            Support(f"s{n}", "stand", "frame", at)
            for n, at in enumerate([(0.0, -1.0), (0.0, 1.0), (2.0, 1.0), (2.0, -1.0)])
        ),
    )
    frame = Part("frame", "frame", "bay", mass_kg=50.0, cg_m=(1.0, 0.0, 0.5))
    pump = Part("pump", "pump", "bay", mass_kg=50.0, cg_m=(1.5, 0.0, 0.5))
    van = garage.new_vehicle(vehicle("pump - frame", frame, pump, stands, datum="frame"))
    assert van.balance().margin_m is None
    assert van.balance("on stands").margin_m == pytest.approx(0.75)
    van.say("standing stands")
    assert van.balance() == van.balance("on stands")
    margins = [step.after.margin_m for step in van.balance_over(van.strip())]
    assert margins == pytest.approx([0.75, 1.0])


def test_a_strip_needs_a_goal(garage):
    """Nothing is made up where none is described."""
    with pytest.raises(InputError, match="no goal is described yet; describe one"):
        garage.new_vehicle("Van").strip()


def test_an_impossible_wish_is_answered_with_the_facts(garage):
    """Two parts in each other's way cannot be reached, and the answer names both."""
    knot = garage.new_vehicle(
        vehicle("a - frame", "b - frame", "a blocks b", "b blocks a", datum="frame")
    )
    with pytest.raises(ImpossibleGoal) as caught:
        knot.reach("a")
    assert len(caught.value.reasons) == 2


def test_a_bundle_is_opened_and_taken_in(pump, tmp_path):
    """The same state in memory and in another garage; then only what is new goes along."""
    pump.log(PartOff(part="lid"))
    first = tmp_path / "first.zip"
    assert pump.export(first).entries == len(pump.garage.workshop.standing(pump.id))
    looked_at = open_bundle(str(first))
    assert (looked_at.name, _but_people(looked_at)) == (pump.name, _but_people(pump))
    assert looked_at.state().people == {"Ann": "Ann (as claimed)"}

    pump.log(JointUndone(joint="pump-frame"))
    pump.export(tmp_path / "since.zip", since=first, without_private=True)
    there = garage_in_memory(who="Ben")
    there.take_in(first)
    taken = there.take_in(tmp_path / "since.zip")
    assert _but_people(taken) == _but_people(pump)
    assert len(there.vehicles()) == 1


def _but_people(log):
    """The state; who somebody is may be known here, and only claimed there."""
    return replace(log.state(), people={})


def test_a_vehicle_is_pushed_to_a_partner_and_pulled_from_there(pump, tmp_path, monkeypatch):
    """Both copies hold the same; a third garage begins with what it pulls, by name."""
    barn = BesideFar(Workshop(MemoryEntryStore(), MemoryPhotoStore()))
    monkeypatch.setattr(with_partner, "FarByApi", lambda *_: barn)
    with pytest.raises(InputError, match="a garage in memory has no partners"):
        pump.push("barn")
    for home in (tmp_path / "ann", tmp_path / "cleo"):
        Partners(home).add(Partner("Barn", "https://barn.local", "s3cret"))
    ours = replace(pump, garage=replace(pump.garage, home=tmp_path / "ann"))
    act = pump.log(JointUndone(joint="lid-pump"))
    assert ours.push("barn").entries > len(act.entries)
    barn.workshop.log(pump.id, [PartOff(part="lid")], who="ben", device="barn")
    assert ours.pull("barn").entries == 1
    assert pump.state().parts_off == {"lid"}
    barn.device = DeviceId("cleo")  # as whom the barn knows who asks now
    cleos = replace(garage_in_memory(who="Cleo"), home=tmp_path / "cleo")
    pulled = cleos.pull("barn", pump.name)
    digests = {each.facts(pump.id).digest for each in (barn.workshop, cleos.workshop)}
    assert digests == {pump.garage.workshop.facts(pump.id).digest}
    assert (pulled.name, pulled.state().parts_off) == (pump.name, {"lid"})
    with pytest.raises(InputError, match="no vehicle at the partner 'van'"):
        cleos.pull("barn", "van")


def test_what_the_garage_keeps_is_there_again(tmp_path):
    """A garage on disk, closed and opened again, holds the same; its folder was made."""
    with open_garage(tmp_path / "new" / "garage", who="Ann") as garage:
        garage.new_vehicle("Van").say("off radiator", new=True)
    with open_garage(tmp_path / "new" / "garage") as again:
        assert again.vehicle("Van").state().parts_off == {"radiator"}


def test_who_logs_is_told_by_the_environment(tmp_path, monkeypatch):
    """Folder and person of the environment hold where none is given."""
    monkeypatch.setenv("PUTBACK_HOME", str(tmp_path))
    monkeypatch.setenv("PUTBACK_WHO", "Cleo")
    with open_garage() as garage:
        garage.new_vehicle("Van")
        assert garage.who == "Cleo"
    assert (tmp_path / "putback.sqlite3").exists()


def test_a_paper_is_the_bytes_of_a_pdf(pump):
    """Tags in use, blank ones and cards of a plan that is made first; what is none is refused."""
    assert pump.paper("tags", blank=3, stock="roll-50x30").startswith(b"%PDF-")
    assert pump.paper("open", size="letter", is_large=True).startswith(b"%PDF-")
    assert pump.paper("cards", sittings=[1]).startswith(b"%PDF-")
    with pytest.raises(NotFound, match="cards"):
        pump.paper("card")
