"""Describing by forms, templates, lists and what we learned."""

import re
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from putback.logbook.entries.base import DeviceId
from putback.logbook.entries.describing import Described
from putback.logbook.entries.working import JointUndone
from tests.web.site import OWNER, WORKER


@pytest.fixture
def client(site):
    """A worker's browser."""
    return site.browser(WORKER)


def about(site):
    return site.here.workshop.state(site.vehicle).vehicle


def fill(client, site, table: str, identity: str = "", **texts):
    path = f"one/{table}/{identity}" if identity else f"new/{table}"
    return client.post(f"/v/{site.vehicle}/describe/{path}", texts)


def test_a_part_and_a_joint_are_described_and_shown(site, client):
    """Typed in pounds and lb ft, kept in SI, shown in both."""
    answer = fill(client, site, "parts", name="Radiator", mass_kg="18 lb", zone="Front end")
    assert answer["Location"].endswith("/part/radiator")
    assert "8.2 kg (18 lb)" in client.get(answer["Location"]).content.decode()
    fill(client, site, "parts", name="Panel")
    texts = {
        "name": "radiator to panel",
        "parts": ["Radiator", "Panel", ""],
        "fixings": "4 bolt 5/16-24 UNF x 3/4 in + spring washer 5/16 in!",
        "tightening.torque_nm": "18 lb ft",
        "tightening.origin": "maker",
        "critical": "yes",
    }
    answer = fill(client, site, "joints", **texts)
    page = client.get(answer["Location"]).content.decode()
    assert "24 N·m (18 lbf·ft), maker figure" in page
    assert "4 × bolt 5/16-24 UNF x 3/4 in + spring washer 5/16 in, new each time" in page


def test_faults_stand_beside_their_fields_and_nothing_is_saved(site, client):
    """The form comes back as it was typed, each fault under its field."""
    before = site.here.workshop.store.position(site.vehicle)
    answer = fill(client, site, "parts", name="", mass_kg="heavy")
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "Not saved." in page
    assert 'id="mass_kg-wrong"' in page
    assert 'value="heavy"' in page
    assert site.here.workshop.store.position(site.vehicle) == before


def test_a_contradiction_may_be_saved_all_the_same(site, client):
    """It is told beside its field first, and asks for a tick."""
    fill(client, site, "parts", name="Lid")
    said = {"name": "odd", "parts": "Lid"}
    answer = fill(client, site, "joints", **said)
    assert answer.status_code == 400
    assert 'name="anyway"' in answer.content.decode()
    assert not about(site).joints
    fill(client, site, "joints", **said, anyway="yes")
    assert "odd" in about(site).joints


def test_a_field_that_is_emptied_goes_back_to_nothing(site, client):
    """Changing a description clears what was cleared, and keeps what was not touched."""
    fill(client, site, "parts", name="Lid", mass_kg="8 kg", hoist="crane")
    fill(client, site, "parts", "lid", name="Lid", mass_kg="", hoist="crane", zone="x")
    lid = about(site).parts["lid"]
    assert (lid.mass_kg, lid.hoist) == (None, "crane")


def test_a_quantity_is_read_back_while_it_is_typed(site, client):
    """How it is understood, or what is wrong with it."""
    address = f"/v/{site.vehicle}/describe/read/joints"
    read = client.get(address, {"tightening.torque_nm": "18 lb ft"}).content.decode()
    assert read == "24 N·m (18 lbf·ft)"
    wrong = client.get(address, {"tightening.torque_nm": "<b>18</b>"})
    assert wrong["Content-Type"].startswith("text/plain")
    assert "cannot read" in wrong.content.decode()


def test_a_sub_assembly_is_added_in_one_tap(site, client):
    """Its parts and joints are there; a side that is missing, or all there already, is refused."""
    address = f"/v/{site.vehicle}/describe/template"
    said = {"template": "drum-brake", "place": "rear", "side": "left"}
    assert client.post(address, said).status_code == 302
    assert len(about(site).joints) > 3
    assert client.post(address, said).status_code == 400
    assert client.post(address, {"template": "drum-brake"}).status_code == 400
    assert client.post(address, {"template": "flux capacitor"}).status_code == 404


def test_a_list_of_parts_is_taken_whole_or_not_at_all(site, client):
    """Every fault by its row, and then nothing; mended, all of it in one act."""
    address = f"/v/{site.vehicle}/describe/list"

    def send(text: bytes, **more):
        return client.post(address, {"list": SimpleUploadedFile("l.csv", text), **more})

    wrong = send(b"name,weight kg\nLid,8\nPump,heavy\nArm,x\n")
    page = wrong.content.decode()
    assert wrong.status_code == 400
    assert '<a href="#heading">' not in page
    assert "Row 3, weight kg" in page
    assert "Row 4, weight kg" in page
    assert not about(site).parts
    assert send(b"name,weight lb\nLid,8\nPump,2.5\n").status_code == 302
    assert sorted(each.name for each in about(site).parts.values()) == ["Lid", "Pump"]
    unknown = send(b"Kram,Gewicht kg\nBogen,8\n")
    assert unknown.status_code == 400
    headed = '<span translate="no">Kram</span>, <span translate="no">Gewicht kg</span>.'
    assert f"The list is headed: {headed}" in unknown.content.decode()
    assert '<a href="#heading">' in unknown.content.decode()
    assert send(b"Kram,Gewicht kg\nBogen,8\n", heading="Kram").status_code == 302
    beside = send(b"name,weight kg,colour\nSeat,9,red\n")
    assert beside.status_code == 200
    assert 'what they hold:</b> <span translate="no">colour</span>.' in beside.content.decode()
    assert "Seat" in {each.name for each in about(site).parts.values()}
    again = send(b"name,weight kg\nSeat,9\nLid,9\nHook,1\n")
    said = " ".join(again.content.decode().split())
    assert "1 new, 2 on the vehicle already and not there twice." in said
    assert 'as it is described now: <span translate="no">Lid</span>.' in said
    assert 'not in the list: <span translate="no">Bogen</span>; <span translate="no">Pump' in said
    assert len(about(site).parts) == 5
    for nothing in (b"", b"PK\x03\x04 half", b"\x00\x01\x02"):
        assert send(nothing).status_code == 400
    assert client.post(address).status_code == 400


def test_the_address_of_a_refused_list_opened_again_says_what_to_do(site, client):
    """A phone that loads the page anew asks for it without the list: no blank page then."""
    answer = client.get(f"/v/{site.vehicle}/describe/list")
    assert (answer.status_code, answer["Allow"]) == (405, "POST")
    assert "go back to the form and send it again" in answer.content.decode()


def test_what_we_learned_is_taken_up_by_one_tap(site, client):
    """A count that differs is shown, accepted, and gone; accepted twice it changes nothing."""
    fill(client, site, "parts", name="Lid")
    fill(client, site, "parts", name="Frame")
    fill(client, site, "joints", name="lid bolts", parts="Lid\nFrame", fixings="4 bolt M8 x 20")
    workshop = site.here.workshop
    undone = JointUndone(joint="lid-bolts", out=3, of=3)
    workshop.log(site.vehicle, [undone], who=site.people[WORKER], device=DeviceId("phone"))
    page = client.get(f"/v/{site.vehicle}/describe").content.decode()
    assert "4 fixings" in page
    key = page.split('name="key" value="')[1].split('"')[0]
    address = f"/v/{site.vehicle}/describe/learned"
    client.post(address, {"key": key})
    assert about(site).joints["lid-bolts"].fixing_count == 3
    position = workshop.store.position(site.vehicle)
    client.post(address, {"key": key})
    assert workshop.store.position(site.vehicle) == position


@pytest.mark.parametrize("path", ["new/nothing", "one/nothing/x", "read/nothing"])
def test_there_is_no_form_for_an_unknown_table(site, client, path):
    """404, in words."""
    assert client.get(f"/v/{site.vehicle}/describe/{path}").status_code == 404


def test_a_job_is_described_listed_and_taken_back(site, client):
    """A new zone comes with it; its list finds it by a word; by mistake it is out again."""
    said = {"name": "Drain the radiator", "kind": "drain", "zone": "Front end"}
    there = fill(client, site, "jobs", **said)["Location"]
    assert there.endswith("/describe/all/jobs")
    assert "Drain the radiator" in client.get(there, {"words": "radiator DRAIN"}).content.decode()
    assert "Drain the radiator" not in client.get(there, {"words": "gearbox"}).content.decode()
    job = about(site).jobs["drain-the-radiator"]
    assert (job.kind, job.zone) == ("drain", "front-end")
    back = f"/v/{site.vehicle}/describe/back/jobs/{job.id}"
    assert client.post(back).status_code == 302
    assert not about(site).jobs
    assert client.post(back).status_code == 404


def test_what_others_rest_on_is_not_taken_back(site, client):
    """A part that a joint holds: told, and kept."""
    for name in ("Lid", "Frame"):
        fill(client, site, "parts", name=name)
    fill(client, site, "joints", name="lid bolts", parts="Lid\nFrame")
    answer = client.post(f"/v/{site.vehicle}/describe/back/parts/lid")
    assert answer.status_code == 400
    assert "Not taken back." in answer.content.decode()
    assert "lid" in about(site).parts


def test_the_vehicle_is_given_another_name(site, client):
    """Every page calls it so from then on; there is only ever one of it."""
    fill(client, site, "about", name="The black one", year="1951", wheelbase_m="84 in")
    assert (about(site).about.name, about(site).about.year) == ("The black one", 1951)
    assert "The black one" in client.get("/").content.decode()
    assert "The black one" in client.get(f"/v/{site.vehicle}/parts").content.decode()
    there = f"/v/{site.vehicle}/describe/new/about"
    assert 'value="The black one"' in client.get(there).content.decode()
    back = f"/v/{site.vehicle}/describe/back/about/{about(site).about.id}"
    assert client.post(back).status_code == 404


def told_by_another(site, **fields):
    """The owner describes the lid meanwhile."""
    said = Described(table="parts", id="lid", fields=fields)
    owner = site.people[OWNER]
    site.here.workshop.log(site.vehicle, [said], who=owner, device=DeviceId("laptop"))


def found_in(client, site) -> dict[str, str]:
    """What stands in the form of the lid, with what was found so, as a browser sends it."""
    page = client.get(f"/v/{site.vehicle}/describe/one/parts/lid").content.decode()
    found = dict(re.findall(r'name="found\.([^"]+)" value="([^"]*)"', page))
    sent = {name: unescape(text) for name, text in found.items()}
    return sent | {f"found.{name}": text for name, text in sent.items()}


def test_a_field_left_as_it_was_found_takes_nothing_back_that_another_described(site, client):
    """The form shows what was; only what was typed in it is said, and by whoever typed it."""
    fill(client, site, "parts", name="Lid", mass_kg="2 kg", cautions="sharp")
    sent = found_in(client, site)
    told_by_another(site, mass_kg=9.0, crew=2)
    fill(client, site, "parts", "lid", **sent | {"cautions": "sharp edges"})
    lid = about(site).parts["lid"]
    assert (lid.mass_kg, lid.crew, lid.cautions) == (9.0, 2, ("sharp edges",))


def test_what_another_described_in_the_same_field_is_shown_first(site, client):
    """Nothing is saved; saved once more it is said all the same, the rest as it is now."""
    fill(client, site, "parts", name="Lid", mass_kg="2 kg")
    sent = found_in(client, site) | {"mass_kg": "3 kg"}
    told_by_another(site, mass_kg=9.0, crew=2)
    answer = fill(client, site, "parts", "lid", **sent)
    page = unescape(answer.content.decode())
    assert answer.status_code == 400
    assert "is described as “9 kg” since the form was opened" in page
    assert 'name="mass_kg" value="3 kg"' in page
    assert 'name="crew" value="2"' in page
    assert about(site).parts["lid"].mass_kg == 9.0
    fill(client, site, "parts", "lid", **found_in(client, site) | {"mass_kg": "3 kg"})
    assert (about(site).parts["lid"].mass_kg, about(site).parts["lid"].crew) == (3.0, 2)


def test_what_was_taken_back_meanwhile_is_not_described_anew_by_half(site, client):
    """It is said that it is gone; all that was typed stands there to be saved again."""
    fill(client, site, "parts", name="Lid", mass_kg="2 kg")
    sent = found_in(client, site) | {"mass_kg": "3 kg"}
    client.post(f"/v/{site.vehicle}/describe/back/parts/lid")
    answer = fill(client, site, "parts", "lid", **sent)
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "This was taken back since the form was opened" in page
    assert 'name="mass_kg" value="3 kg"' in page
    assert "lid" not in about(site).parts
    again = {name: text for name, text in sent.items() if not name.startswith("found.")}
    fill(client, site, "parts", "lid", **again | {f"found.{name}": "" for name in again})
    assert (about(site).parts["lid"].name, about(site).parts["lid"].mass_kg) == ("Lid", 3.0)
