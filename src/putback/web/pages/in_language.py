"""Pages in the language of whoever reads them: made in English, and told again on the way out.

A page's texts are what stands between its tags, and the attributes that are read out or shown.
What is typed (values, text areas), what is marked ``translate="no"`` and what a person called
something of the vehicle stays; behind a tag marked ``translate="yes"`` stands a word of Putback's
own, told even where a thing of the vehicle is called the same.
"""

import re
from collections.abc import Callable
from html import escape, unescape

from django.http import HttpRequest, HttpResponse
from django.utils.translation.trans_real import parse_accept_lang_header

from putback.language import CODES, ENGLISH, OwnNames, Reteller, reteller
from putback.logbook.entries.base import LogbookId
from putback.web.here import here
from putback.web.pages.answers_told import is_read_on_a_page, tell_answer
from putback.web.pages.safety import Answerer
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.saying.names import KINDS, cautions_written, names_of

COOKIE = "putback_language"
"""What was chosen on this device; without it the browser's own wish counts."""

_KEPT = re.compile(r"<(script|style|textarea)\b.*?</\1\s*>|<!--.*?-->", re.DOTALL)
_TAG = re.compile(r"""<[/!]?[a-zA-Z](?:[^>"']|"[^"]*"|'[^']*')*>""")
_SHOWN = re.compile(r'(\s(?:aria-label|title|placeholder|alt|data-say[a-z-]*)=")([^"]*)(")')
_LANGUAGE = re.compile(r'(<html[^>]* lang=")[^"]*(")')


def in_language(answer: Answerer) -> Answerer:
    """Tell every page again in the language of whoever asked for it."""

    def told(request: HttpRequest) -> HttpResponse:
        response = answer(request)
        language = language_of(request)
        if language == ENGLISH or response.streaming:
            return response

        def own() -> OwnNames:
            return own_names(request) if response.status_code < 400 else OwnNames()

        sort = response.headers.get("Content-Type", "").partition(";")[0]
        if sort == "text/html":
            page = page_told(response.content.decode(), reteller(language), own())
            response.content = page.encode()
        elif sort == "application/json" and is_read_on_a_page(request):
            names = own()
            tell_answer(request, response, lambda text: names.tell(reteller(language), text))
        else:
            return response
        response.headers["Content-Language"] = language
        if "Content-Length" in response.headers:
            response.headers["Content-Length"] = str(len(response.content))
        return response

    return told


def language_of(request: HttpRequest) -> str:
    """Give the language that was chosen on the device, or that its browser asks for."""
    if (chosen := request.COOKIES.get(COOKIE, "")) in CODES:
        return chosen
    asked = parse_accept_lang_header(request.headers.get("Accept-Language", ""))
    spoken = (each.partition("-")[0] for each, wish in asked if wish > 0)
    return next((each for each in spoken if each in CODES), ENGLISH)


def own_names(request: HttpRequest) -> OwnNames:
    """Give what people called the things of the vehicle that an answer is about."""
    match = request.resolver_match
    if match is None or "logbook" not in match.kwargs:
        return OwnNames()
    state = in_its_garage(here().workshop, LogbookId(match.kwargs["logbook"]))
    names = (each for kind in KINDS for each in names_of(state, kind).values())
    return OwnNames((name for several in names for name in several), cautions_written(state))


def page_told(page: str, who: Reteller, own: OwnNames | None = None) -> str:
    """Tell a page, or a piece of one, again; names that are somebody's own stay."""
    names = own or OwnNames()

    def tell(text: str) -> str:
        return names.tell(who, text)

    told: list[str] = []
    kept_until, depth, at, is_ours = "", 0, 0, False
    while at < len(page):
        if page[at] != "<":
            end = page.find("<", at)
            end = len(page) if end < 0 else end
            text = page[at:end]
            in_words = who.tell if is_ours else tell
            told.append(text if depth else escape(in_words(unescape(text)), quote=False))
            at = end
            continue
        if kept := _KEPT.match(page, at):
            told.append(kept[0])
            at = kept.end()
            continue
        tag = _TAG.match(page, at)
        if tag is None:  # a lone sign
            told.append(page[at])
            at += 1
            continue
        at, is_ours = tag.end(), 'translate="yes"' in tag[0]
        told.append(tag[0] if depth else _SHOWN.sub(lambda each: _attribute(each, tell), tag[0]))
        name = tag[0].strip("</>").split(maxsplit=1)[0].rstrip("/>").lower()
        if not depth and 'translate="no"' in tag[0]:
            kept_until, depth = name, 1
        elif depth and name == kept_until:
            depth += -1 if tag[0].startswith("</") else 1
    return _LANGUAGE.sub(rf"\g<1>{who.language}\g<2>", "".join(told), count=1)


def _attribute(found: re.Match[str], tell: Callable[[str], str]) -> str:
    return f"{found[1]}{escape(tell(unescape(found[2])))}{found[3]}"
