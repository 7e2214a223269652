"""Answers of the API on a page in German: sentences and faults, nothing that is reckoned with."""

import json

import pytest
from django.http import HttpResponse, JsonResponse
from django.test import RequestFactory

from putback.language import Reteller
from putback.web.pages.answers_told import tell_answer
from tests.web.site import OWNER

WHO = Reteller("de", {"undo": "lösen", "off": "ab", "it is off": "es ist ab"})


class Resolved:
    """How an address was understood."""

    def __init__(self, name: str) -> None:
        self.url_name = name


def told(name: str, answer: object, status: int = 200) -> object:
    """Tell an answer of the API again."""
    request = RequestFactory().get("/api/x")
    request.resolver_match = Resolved(name)
    response = JsonResponse(answer, safe=False, status=status)
    tell_answer(request, response, WHO.tell)
    return json.loads(response.content)


@pytest.mark.usefixtures("site")
@pytest.mark.parametrize(
    ("name", "answer", "german"),
    [
        (
            "acts",
            {"act": "off", "sentences": ["it is off", "Undo."], "cautions": []},
            {"act": "off", "sentences": ["es ist ab", "Lösen."], "cautions": []},
        ),
        (
            "entries",
            {"entries": [{"body": {"words": "off"}, "sentences": "off"}], "warning": "off"},
            {"entries": [{"body": {"words": "off"}, "sentences": "off"}], "warning": "ab"},
        ),
        (
            "held",
            {
                "jobs": [
                    {
                        "card": {"deed": "off", "verb": "Undo", "why": ["off"], "identity": "off"},
                        "log": [{"words": "off"}],
                        "done_by": [{"fields": {"words": ["off"]}}],
                    }
                ],
                "names": ["off"],
                "fault": "",
                "known": {"tags": {"K": {"where": "off", "name": "off"}}, "parts": [["o", "off"]]},
            },
            {
                "jobs": [
                    {
                        "card": {"deed": "off", "verb": "Lösen", "why": ["ab"], "identity": "off"},
                        "log": [{"words": "off"}],
                        "done_by": [{"fields": {"words": ["off"]}}],
                    }
                ],
                "names": ["off"],
                "fault": "",
                "known": {"tags": {"K": {"where": "ab", "name": "off"}}, "parts": [["o", "off"]]},
            },
        ),
        ("thing", ["off"], ["off"]),
    ],
)
def test_what_is_read_is_told_again(name, answer, german):
    """Identities, kinds and entries stay as they are."""
    assert told(name, answer) == german


@pytest.mark.usefixtures("site")
def test_a_fault_is_told_beside_what_it_was():
    """A script finds the field by the English words, and shows the others."""
    fault = {"message": "off: undo", "fault": "off", "place": "entry 1", "remedy": "undo"}
    german = {"message": "ab: lösen", "fault": "ab", "remedy": "lösen"}
    assert told("acts", fault, status=422) == fault | {"told": german}


def test_a_page_is_answered_in_german_and_a_program_in_english(site):
    """A program that sends a token is not asked what it reads."""
    german = {"accept-language": "de"}
    page = site.browser().get("/api/vehicles/none/held", headers=german)
    assert page.json()["told"]["fault"] == "das gibt es nicht, oder es gehört dir nicht"
    assert page["Content-Language"] == "de"
    token = {"authorization": f"Bearer {site.token(OWNER)}"}
    program = site.browser(None).get("/api/vehicles/none/held", headers=german | token)
    assert "told" not in program.json()


def held_by(browser, vehicle, **headers: str) -> HttpResponse:
    """Ask for what a phone holds."""
    return browser.get(f"/api/vehicles/{vehicle}/held", headers=headers)


def test_what_a_phone_holds_is_asked_for_anew_in_another_language(site):
    """It has the other language's yet, and says by its tag which."""
    browser = site.browser()
    english = held_by(browser, site.vehicle)["ETag"]
    again = {"if-none-match": english}
    assert held_by(browser, site.vehicle, **again).status_code == 304
    asked = {"accept-language": "de"}
    german = held_by(browser, site.vehicle, **again, **asked)
    assert german.status_code == 200
    unchanged = held_by(browser, site.vehicle, **asked, **{"if-none-match": german["ETag"]})
    assert unchanged.status_code == 304


def test_the_worker_is_another_in_german(site):
    """So a phone asks for the app's own pages anew once another language is chosen."""
    ask = site.browser().get
    english, german = ask("/worker.js"), ask("/worker.js", headers={"accept-language": "de"})
    assert 'LANGUAGE = "en"' in english.content.decode()
    assert 'LANGUAGE = "de"' in german.content.decode()
    assert english.content.splitlines()[0] != german.content.splitlines()[0]
