"""The page Paper: what can be printed, made as a file, and what is told where it cannot be."""

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from putback.logbook.entries.base import DeviceId
from putback.workshop.desk import Trouble, put
from putback.workshop.desk.planner import Planner
from putback.workshop.printing.documents import DOCUMENTS
from putback.workshop.saying.plain import read_plain
from tests.web.site import NEIGHBOUR, OWNER, VIEWER, WORKER


def address(site, rest: str = "") -> str:
    """An address of the vehicle's papers."""
    return f"/v/{site.vehicle}/paper{rest}"


def words(response) -> str:
    """The words of the PDF that was handed over."""
    assert response.status_code == 200, response.content[:300]
    assert response["Content-Type"] == "application/pdf"
    pages = PdfReader(BytesIO(response.content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_every_document_is_offered_with_what_it_asks_for(site):
    """Each by its name, a form each; blank tags only to whoever may log."""
    shown = site.browser(OWNER).get(address(site)).content.decode()
    for each in DOCUMENTS:
        assert each.title in shown
        assert address(site, f"/{'order' if each.is_long else 'make'}/{each.name}") in shown
    assert "Make blank tags" in shown
    assert "Make blank tags" not in site.browser(VIEWER).get(address(site)).content.decode()


def test_a_list_is_a_file_under_the_name_of_the_vehicle(site):
    """A viewer may have it; it is handed over to be saved, and kept by no cache."""
    made = site.browser(VIEWER).get(address(site, "/make/open?size=letter&large=on"))
    assert "Open tonight" in words(made)
    assert made["Content-Disposition"] == 'attachment; filename="old-dunlin-open.pdf"'
    assert made["Cache-Control"] == "no-store"
    box = PdfReader(BytesIO(made.content)).pages[0].mediabox
    assert [round(float(each)) for each in (box.width, box.height)] == [612, 792]


def made(site) -> None:
    """Let what was ordered be made, as a process beside the pages does."""
    here = site.here
    maker = Planner(here.workshop, here.desk, "maker", papers=here.papers)
    while maker.answer_one():
        pass


def piece(site, language: str = "en") -> str:
    """What the page says of the papers that take long, in words."""
    asked = site.browser(VIEWER).get(address(site), headers={"accept-language": language})
    page = asked.content.decode()
    told = page.partition('<div id="made"')[2].partition("<details")[0]
    return " ".join(re.sub(r"<[^>]+>", " ", told).split())


def slips(site) -> list[str]:
    """By which papers are offered to be fetched."""
    page = site.browser(VIEWER).get(address(site)).content.decode()
    return re.findall(r"/paper/kept/([0-9a-f]+)", page)


@pytest.mark.parametrize(("form", "kind"), [("pdf", b"%PDF-1.7"), ("html", b"<!DOCTYPE html>")])
def test_the_history_file_is_ordered_and_fetched(site, form, kind):
    """Nobody waits for it before a page; a viewer may have it; it is never held whole."""
    viewer = site.browser(VIEWER)
    said = {"form": form, "language": "de", "money": "on"}
    answer = viewer.post(address(site, "/order/history"), said)
    assert answer["Location"] == f"{address(site)}#made"
    assert "Being made · waiting for its turn Stop" in piece(site)
    assert slips(site) == []
    made(site)
    assert "Deutsch · with sums paid Download it" in piece(site)
    got = viewer.get(address(site, f"/kept/{slips(site)[0]}"))
    assert got["Content-Disposition"] == f'attachment; filename="old-dunlin-history.{form}"'
    assert got["Cache-Control"] == "no-store"
    content = b"".join(got.streaming_content)
    assert content.startswith(kind)
    assert len(content) == int(got["Content-Length"])


def test_a_finished_history_file_stays_until_it_is_made_anew(site):
    """Ordered again it is there at once; what was logged since is counted; anew it is in it."""
    worker, order = site.browser(WORKER), address(site, "/order/history")
    worker.post(order, {"form": "html"})
    made(site)
    (first,) = slips(site)
    worker.post(order, {"form": "html"})
    assert slips(site) == [first]
    assert "Being made" not in piece(site)
    act = read_plain([{"kind": "note", "text": "mice in the glovebox"}])
    workshop = site.here.workshop
    workshop.log(site.vehicle, act, who=site.people[OWNER], device=DeviceId("laptop"))
    assert "one entry came since" in piece(site)
    told = piece(site, "de")
    assert "Herunterladen 0,1 MB · fertig seit " in told
    assert "seither kam ein Eintrag dazu Es bleibt drei Tage hier" in told
    worker.post(order, {"form": "html", "again": "on"})
    assert slips(site) == [first]  # the last one is there meanwhile
    assert "Being made" in piece(site)
    made(site)
    (second,) = slips(site)
    assert "came since" not in piece(site)
    got = b"".join(worker.get(address(site, f"/kept/{second}")).streaming_content)
    assert b"Mice in the glovebox" in got or b"mice in the glovebox" in got
    assert len(list(site.opened.papers.iterdir())) == 1


def test_making_a_history_file_can_be_stopped_by_whoever_may_have_it(site):
    """The page says that nothing was kept, and lets it be made anew."""
    viewer = site.browser(VIEWER)
    viewer.post(address(site, "/order/history"))
    (slip,) = site.here.desk.asked(site.vehicle, "history")
    assert viewer.post(f"/v/{site.vehicle}/asked/{slip.id}/stop").status_code == 302
    assert "It was stopped; nothing of it was kept. Make it anew" in piece(site)
    assert "Es wurde angehalten; nichts davon ist behalten. Neu machen" in piece(site, "de")
    made(site)
    assert slips(site) == []
    viewer.post(address(site, "/order/history"))
    assert "Being made" in piece(site)


def test_what_became_of_a_history_file_is_told(site):
    """That it was begun anew after its maker died; why there is none."""
    site.browser(VIEWER).post(address(site, "/order/history"))
    from putback.web.store.models import QuestionRow  # exists once Django is configured

    desk = site.here.desk
    slip = desk.claim("dies", papers=True)
    assert "cut off" not in piece(site)
    QuestionRow.objects.using(desk.alias).update(touched_at="2001-01-01T00:00:00.000Z")
    assert desk.claim("lives", papers=True).id == slip.id
    assert "It was cut off in the middle, and has been begun anew." in piece(site)
    assert "In Arbeit Mittendrin abgebrochen und von vorn begonnen." in piece(site, "de")
    desk.fail(slip.id, "lives", Trouble("the disk is full", "", "make room and try again"))
    assert "The disk is full. Make room and try again. Make it anew" in piece(site)


def test_nobody_fetches_the_history_file_of_anothers_vehicle(site):
    """Neither by its own address nor by that of a vehicle of theirs; nor is a plan a paper."""
    site.browser(VIEWER).post(address(site, "/order/history"), {"form": "html"})
    made(site)
    (slip,) = slips(site)
    neighbour = site.browser(NEIGHBOUR)
    theirs = next(
        each.id
        for each in site.here.workshop.store.logbooks()
        if site.here.workshop.store.roles(each.id).get(site.people[NEIGHBOUR])
    )
    assert neighbour.get(address(site, f"/kept/{slip}")).status_code == 404
    assert neighbour.get(f"/v/{theirs}/paper/kept/{slip}").status_code == 404
    plan = put(site.here.desk, site.here.workshop, site.vehicle, "ahead")
    assert site.browser(VIEWER).get(address(site, f"/kept/{plan.id}")).status_code == 404
    site.here.papers.clear(-1.0)
    assert site.browser(VIEWER).get(address(site, f"/kept/{slip}")).status_code == 404
    assert slips(site) == []


def test_only_what_takes_long_is_ordered(site):
    """A list is made at once, the history file by its order alone; a mistake is told."""
    viewer = site.browser(VIEWER)
    assert viewer.post(address(site, "/order/open")).status_code == 404
    assert viewer.get(address(site, "/make/history"))["Location"] == address(site)
    assert viewer.post(address(site, "/order/history"), {"size": "a9"}).status_code == 400
    assert site.here.desk.asked(site.vehicle, "history") == ()


def test_blank_tags_are_taken_for_the_device_that_asks(site):
    """Two sheets have different codes, all of them reserved."""
    browser = site.browser(WORKER)
    before = sum(len(places) for _, places in site.here.workshop.store.reserved_tags())
    first, second = (
        words(browser.post(address(site, "/blank-tags"), {"blank": "4", "stock": "a4-2x4"}))
        for _ in range(2)
    )
    assert first != second
    after = sum(len(places) for _, places in site.here.workshop.store.reserved_tags())
    assert after == before + 8


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("/make/nothing", "nothing"),
        ("/make/tags", "There is no tag to print"),
        ("/make/tags?stock=a9", "a9"),
        ("/make/tags?used=x", "&#x27;x&#x27; is no number of labels; write a whole number."),
        ("/make/tags?right=wide", "&#x27;wide&#x27; is no shift; write millimetres"),
        ("/make/open?size=a9", "a9"),
        ("/make/walk-round", "nothing is lifted"),
        ("/make/walk-round?lift=moon", "moon"),
        ("/make/cards", "No goal is described yet"),
        ("/make/cards?plan=rebuild", "No plan is on hand yet"),
        ("/make/routes?run=moon", "moon"),
    ],
)
def test_what_cannot_be_made_is_told_on_the_page(site, asked, told):
    """Each mistake in a sentence, with all that can be printed below it."""
    response = site.browser(VIEWER).get(address(site, asked))
    assert response.status_code == 400
    shown = response.content.decode()
    fault = shown.partition('role="alert">')[2].partition("</div>")[0]
    assert told in fault
    assert "Make it" in shown


def test_no_number_of_blank_tags_takes_none(site):
    """Nothing is reserved where the number is none, or cannot be."""
    before = site.here.workshop.store.reserved_tags()
    for blank in ("", "0", "many", "9999999"):
        refused = site.browser(WORKER).post(address(site, "/blank-tags"), {"blank": blank})
        assert refused.status_code == 400, blank
    assert site.here.workshop.store.reserved_tags() == before
