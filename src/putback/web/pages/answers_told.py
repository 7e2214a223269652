"""Answers of the API in the language of whoever reads them on a page: sentences, and faults.

What scripts reckon with (identities, kinds, names of fields, entries as they are kept) stays; a
program that sends a token is answered in English, and is not asked what it reads.
"""

import json
from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse

Teller = Callable[[str], str]

SAID = frozenset({"sentences", "cautions", "warning"})
"""What an answer says in words, whatever was asked."""
OF_A_JOB = frozenset(
    "verb title fastenings pieces tool takes first words drops prop support cautions why torque "  # noqa: SIM905
    "renew take_out waits_for fault notice holds clears do".split()
)
OF_A_TAG = frozenset({"container", "where", "lines"})
_KEPT = frozenset({"log", "done_by", "names", "places", "parts", "others"})
"""What is sent back as it came, or is a person's own."""
_FAULT = ("message", "fault", "remedy")


def is_read_on_a_page(request: HttpRequest) -> bool:
    """Tell whether the API is asked by a page, and by no program with a token."""
    return request.path.startswith("/api/") and "Authorization" not in request.headers


def tell_answer(request: HttpRequest, response: HttpResponse, tell: Teller) -> None:
    """Tell an answer again, in its place."""
    answer = json.loads(response.content) if response.content else None  # 304 has none
    if not isinstance(answer, dict):
        return
    named = request.resolver_match.url_name if request.resolver_match else ""
    if response.status_code >= 400:
        told = answer | {"told": {each: tell(str(answer.get(each, ""))) for each in _FAULT}}
    elif named == "held":
        told = _told(answer, OF_A_JOB, tell) | {"known": _told(answer["known"], OF_A_TAG, tell)}
    else:
        told = answer | {each: _all_told(answer[each], tell) for each in SAID & answer.keys()}
    response.content = json.dumps(told, ensure_ascii=False).encode()


def _told(thing: Any, fields: frozenset[str], tell: Teller) -> Any:
    """Tell what stands in some fields, however deep."""
    if isinstance(thing, list):
        return [_told(each, fields, tell) for each in thing]
    if not isinstance(thing, dict):
        return thing
    return {
        name: _all_told(said, tell)
        if name in fields
        else said
        if name in _KEPT
        else _told(said, fields, tell)
        for name, said in thing.items()
    }


def _all_told(said: Any, tell: Teller) -> Any:
    if isinstance(said, list):
        return [_all_told(each, tell) for each in said]
    return tell(said) if isinstance(said, str) else said
