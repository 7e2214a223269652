"""Parts, joints, hardware, bags and places: shown, searched, logged, and kept from strangers."""

import re

import pytest

from tests.web.site import NEIGHBOUR, OWNER, VIEWER, WORKER


@pytest.fixture
def demo(demo_site):
    """The demo in the middle of its strip."""
    return demo_site.demo()


SPEC = "bolt M8x1.25 x 20 mm"


@pytest.fixture
def car(site):
    """A lid whose bolts are in a bag."""
    client, address = site.browser(WORKER), f"/v/{site.vehicle}"
    for table, fields in (
        ("parts", {"name": "Lid"}),
        ("parts", {"name": "Frame"}),
        ("joints", {"name": "lid bolts", "parts": "Lid\nFrame", "fixings": f"4 x {SPEC}"}),
    ):
        assert client.post(f"{address}/describe/new/{table}", fields).status_code == 302
    said = {"1.kind": "joint undone", "1.joint": "lid-bolts", "1.out": "4", "1.tag": "3cah"}
    assert client.post(f"{address}/log", said).status_code == 302
    return site.vehicle


def get(site, address: str, name: str | None = OWNER) -> str:
    answer = site.browser(name).get(address)
    assert answer.status_code == 200, answer.content.decode()[:500]
    return answer.content.decode()


def test_parts_are_searched_and_narrowed(demo_site, demo):
    """By words, by zone, by state; each part with its state in words and by its mark."""
    every = get(demo_site, f"/v/{demo}/parts")
    assert "123 of 123" in every
    lids = get(demo_site, f"/v/{demo}/parts?words=boot+lid")
    assert "Boot lid" in lids
    assert 'class="how how-off"' in lids
    assert "Gearbox" not in lids
    on = get(demo_site, f"/v/{demo}/parts?condition=on+the+vehicle")
    assert 'class="how how-off"' not in on
    assert "No part goes by that" in get(demo_site, f"/v/{demo}/parts?words=flux+capacitor")


def test_an_empty_vehicle_says_what_to_do(site):
    """No part, no bag, no place: each page says what comes first, and none fails."""
    for page, words in (
        ("parts", "none need be: log what comes off"),
        ("hardware", "Nothing is short"),
        ("hardware?by=bags", "No bag is tagged yet"),
        ("hardware?by=fasteners", "No fastener is described"),
        ("places", "A shelf, a shed"),
        ("book", "1 entry, newest first"),
        ("describe", "Nothing need be described"),
    ):
        assert words in get(site, f"/v/{site.vehicle}/{page}"), page


def test_a_part_tells_what_holds_it_and_is_logged_by_a_form(demo_site, demo):
    """Fasteners, tool, torque with its origin, what can hurt; a form logs, and it is told."""
    page = get(demo_site, f"/v/{demo}/part/BS03")
    for words in ("Boot lid", "12 kg (25 lb)", "bolt 1/4-28 UNF", "invented figure", "spanner"):
        assert words in page
    assert "It takes 2 people." in page
    assert "torsion rods" not in page, "they flew when it was undone"
    on = get(demo_site, f"/v/{demo}/part/FS03L")
    assert "Undone, it flies: a loaded coil kills" in on
    assert "The maker's data win" in page
    client = demo_site.browser(WORKER)
    said = {"1.kind": "found", "1.of": "part:BS03", "1.what": "a dent"}
    back = f"/v/{demo}/part/BS03"
    answer = client.post(f"/v/{demo}/log", {**said, "next": back})
    assert answer.status_code == 302
    assert answer["Location"].startswith(back)
    assert "Found: a dent." in get(demo_site, back)


def test_who_may_only_look_is_offered_no_form(site, car):
    """A viewer sees the part and nothing to press; a worker does."""
    for page in ("part/lid", "joint/lid-bolts", "tag/3CAH", "places", "book"):
        assert "<form" in get(site, f"/v/{car}/{page}", WORKER), page
        shown = get(site, f"/v/{car}/{page}", VIEWER)
        assert not re.search(r"\sdata-log[\s=>]", shown), page
        assert not re.search(r'<form[^>]*method="post"', shown), page


def test_the_hardware_check_is_told_in_words(demo_site, demo):
    """Whether it closes, what is short and in which joint, bags with what is in them."""
    page = get(demo_site, f"/v/{demo}/hardware")
    assert "It does not close yet" in page
    assert "short</b>" in page
    bags = get(demo_site, f"/v/{demo}/hardware?by=bags&words=2w8n")
    assert "bonnet hinges to shell" in bags
    assert "4A6P" not in bags
    assert "<table>" in get(demo_site, f"/v/{demo}/hardware?by=fasteners")
    assert "It does not close yet" in get(demo_site, f"/v/{demo}/hardware?by=nonsense")


def test_a_bag_is_counted_and_what_is_missed_is_told(site, car):
    """One bolt less than the accounts say: the bag is short, and so is the joint."""
    client, address = site.browser(WORKER), f"/v/{car}"
    assert f'name="1.pieces.0.spec" value="{SPEC}"' in get(site, f"{address}/tag/3CAH")
    said = {
        "1.kind": "counted",
        "1.tag": "3cah",
        "1.pieces.0.spec": SPEC,
        "1.pieces.0.count": "3",
        "1.complete": "false",
    }
    assert client.post(f"{address}/log", said).status_code == 302
    assert "1 missed in a count" in get(site, f"{address}/tag/3CAH")
    assert "1 short</b>: bolt M8" in get(site, f"{address}/hardware")
    assert client.post(f"{address}/log", said | {"1.tag": "3CAK"}).status_code == 400


def test_what_is_not_there_is_not_found(site, car):
    """A part, joint or tag that nobody spoke of: 404, whatever it is called."""
    for page in ("part/nothing", "joint/nothing", "tag/ZZZZ", "part/../secret", "tag/%00"):
        assert site.browser(OWNER).get(f"/v/{car}/{page}").status_code == 404, page


def test_a_stranger_and_a_neighbour_see_none_of_it(site, car):
    """Whoever has no role gets 404 on every page and form."""
    pages = ["parts", "part/lid", "joint/lid-bolts", "hardware", "tag/3CAH", "places", "book"]
    pages += ["describe", "describe/new/parts", "describe/one/parts/lid", "describe/read/parts"]
    forms = ["places/new", "book/strike", "book/late", "book/export", "describe/list"]
    forms += ["describe/template", "describe/learned", "describe/new/parts"]
    for name in (None, NEIGHBOUR):
        client = site.browser(name)
        for each in pages:
            assert client.get(f"/v/{car}/{each}").status_code == 404, each
        for each in forms:
            assert client.post(f"/v/{car}/{each}").status_code == 404, each
    viewer = site.browser(VIEWER)
    for each in forms:
        assert viewer.post(f"/v/{car}/{each}").status_code == 403, each


def test_a_place_is_added_for_all_vehicles_and_things_move_there(site, car):
    """The garage's logbook has it; a part that is moved there is under it in the tree."""
    client = site.browser(WORKER)
    said = {"name": "Loft over the stable", "kind": "store", "fits": "trim", "floor": ""}
    assert client.post(f"/v/{car}/places/new", said).status_code == 302
    client.post(f"/v/{car}/log", {"1.kind": "part off", "1.part": "lid"})
    move = {"1.kind": "moved", "1.what": "part:lid", "1.place": "loft-over-the-stable"}
    client.post(f"/v/{car}/log", move)
    assert "#place-loft-over-the-stable" in get(site, f"/v/{car}/part/lid")
    tree = get(site, f"/v/{car}/places")
    assert tree.index("Loft over the stable") < tree.index("/part/lid")
    for wrong in ({"name": " "}, {"name": "Loft over the STABLE"}):
        assert client.post(f"/v/{car}/places/new", wrong).status_code == 400


def test_names_are_offered_while_they_are_typed(site, car):
    """Of parts and joints by any of their words, without a line before them."""
    client = site.browser(VIEWER)
    address = f"/api/vehicles/{car}/completions"
    assert "lid bolts" in client.get(address, {"name": "bol"}).json()["lines"]
    assert client.get(address, {"name": "nothing like it"}).json()["lines"] == []
    for page in ("parts", "hardware", "places"):
        assert f'data-names="{address}"' in get(site, f"/v/{car}/{page}", VIEWER), page
    assert f'data-say="{address}"' in get(site, f"/v/{car}/what-if", VIEWER)
