"""What holds for every page: safe headers, valid HTML, nothing of anybody else's."""

import copy
import json
import re
from hashlib import sha256

import html5lib
import pytest
from django.conf import settings
from django.core import checks
from django.test.utils import override_settings

from putback.web.assets import STATIC
from putback.web.pages import show
from putback.web.pages.access import COOKIE
from putback.web.settings import CONTENT_SECURITY_POLICY, WEB
from putback.web.wsgi import SILENCED, served_settings
from tests.web.pages.test_access import NEVER, TABLE, asked
from tests.web.site import OWNER

__all__ = ["asked"]  # the fixture

PAGES = sorted(
    address
    for address, (may_get, _) in TABLE.items()
    if may_get != NEVER and "api/" not in address and address != "trust/authority"
)
_ADDRESSES = re.compile(r"""(?:src|href|action|poster|data|content)\s*=\s*["']([^"']*)""")


def html_faults(text: str) -> list[str]:
    """What html5lib finds wrong with a page, and identities that it has twice."""
    parser = html5lib.HTMLParser(strict=False)
    document = parser.parse(text)
    faults = [f"line {at[0]}: {code} {more}" for at, code, more in parser.errors]
    ids = [each.get("id") for each in document.iter() if each.get("id")]
    faults += [f"id {each!r} twice" for each in sorted({i for i in ids if ids.count(i) > 1})]
    known = set(ids)
    for each in document.iter():
        for name in ("for", "aria-labelledby", "aria-describedby", "list"):
            faults += [
                f"{name}={one!r} names nothing"
                for one in (each.get(name) or "").split()
                if one not in known
            ]
        if each.get("style") is not None:
            faults.append(f"style in {each.tag}")
        faults += [f"{name} in {each.tag}" for name in each.attrib if str(name).startswith("on")]
    return faults


@pytest.mark.parametrize("fault", ["<p id=a></p><p id=a></p>", "<p style=x>", "<b></i>"])
def test_the_judge_of_pages_sees_faults(fault):
    """A page with a planted fault does not pass."""
    assert html_faults(f"<!doctype html><html lang=en><title>x</title><body>{fault}</body></html>")


def test_every_page_is_valid_and_asks_nobody_else_for_anything(asked):
    """As html5lib reads it, strictly; every address in it is of this site."""
    wrong = []
    browser = asked.site.browser()
    for address in PAGES:
        answer = browser.get(asked.path(address))
        if not answer.content or not answer["Content-Type"].startswith("text/html"):
            continue
        text = answer.content.decode()
        wrong += [f"/{address}: {each}" for each in html_faults(text)]
        for found in _ADDRESSES.findall(text):
            if re.match(r"(https?:)?//", found) and not found.startswith("https://testserver"):
                wrong.append(f"/{address}: asks {found}")
    assert "\n".join(wrong) == ""


def test_a_template_is_given_what_it_shows_and_nothing_else(asked, monkeypatch):
    """Each field of a page's record is asked for by its template, and no other name is."""
    given: dict[str, set[str]] = {}

    def noting(request, template, facts, **more):
        given.setdefault(template, set()).update(facts)
        return shown(request, template, facts, **more)

    shown = show.render
    monkeypatch.setattr(show, "render", noting)
    wrong = []
    templates = copy.deepcopy(settings.TEMPLATES)
    templates[0]["OPTIONS"]["string_if_invalid"] = "nobody gave %s"
    with override_settings(TEMPLATES=templates):
        browser = asked.site.browser()
        for address in PAGES:
            text = browser.get(asked.path(address)).content.decode()
            wrong += [f"/{address}: {each}" for each in re.findall(r"nobody gave [\w.]+", text)]
    for template, names in given.items():
        source = _source(template)
        unused = {each for each in names if not re.search(rf"\b{each}\b", source)}
        wrong += [f"{template} shows no {each}" for each in sorted(unused - {"frame", "liking"})]
    assert len(given) > 12
    assert "\n".join(wrong) == ""


def _source(template: str) -> str:
    """A template's own text with that of all it includes."""
    text = (WEB / "templates" / template).read_text()
    tags = " ".join(re.findall(r"{[{%].*?[%}]}", text))
    below = re.findall(r"{% include ['\"]([^'\"]+)['\"]", text)
    return tags + "".join(_source(each) for each in below if each != template)


def test_every_answer_bears_the_safe_headers(asked):
    """Pages, refusals, redirections, files and the API alike."""
    wrong = []
    for address in [*PAGES, "api/vehicles", "api/openapi.json", "not/there"]:
        for name in (OWNER, None):
            answer = asked.site.browser(name).get(asked.path(address))
            said = answer.headers
            right = {
                "X-Content-Type-Options": "nosniff",
                "X-Frame-Options": "DENY",
                "Referrer-Policy": "same-origin",
            }
            wrong += [f"/{address}: {key}" for key in right if said.get(key) != right[key]]
            policy = said.get("Content-Security-Policy", "")
            if policy != CONTENT_SECURITY_POLICY and address != "trust":
                wrong.append(f"/{address}: {policy}")
            rest = policy.replace("script-src 'self' 'wasm-unsafe-eval';", "", 1)
            if "unsafe" in rest or "*" in rest or "script-src" in rest or rest == policy:
                wrong.append(f"/{address}: {policy}")
            if "geolocation=()" not in said.get("Permissions-Policy", ""):
                wrong.append(f"/{address}: Permissions-Policy")
            if "Cache-Control" not in said:
                wrong.append(f"/{address}: Cache-Control")
    assert "\n".join(wrong) == ""


def test_nothing_vendored_was_changed():
    """Each file is the one that was taken over, by its digest, and none stands beside the list."""
    for folder in ("vendor", "fonts"):
        listed = json.loads((STATIC / "putback" / folder / "VERSIONS.json").read_text())
        there = {each.name: each for each in (STATIC / "putback" / folder).iterdir()}
        del there["VERSIONS.json"]
        assert set(there) == set(listed)
        for name, said in listed.items():
            assert sha256(there[name].read_bytes()).hexdigest() == said["sha256"], name


def test_no_style_or_script_asks_anybody_else():
    """Nothing of ours names an address of another site."""
    for path in STATIC.rglob("*"):
        if path.suffix in {".css", ".js"} and path.parent.name != "vendor":
            assert not re.search(r"https?://(?!www\.w3\.org/)", path.read_text()), path


def test_django_finds_nothing_wrong_with_a_site_served_by_https(tmp_path, site, monkeypatch):
    """Its own check for deployment, with a certificate; what is silenced has a reason."""
    monkeypatch.delenv("DJANGO_ALLOW_ASYNC_UNSAFE", raising=False)  # set beside a browser
    served = served_settings(
        tmp_path, {"hosts": ["shed.example.org"], "https": True, "hsts": True}
    )
    with override_settings(**served):
        found = checks.run_checks(include_deployment_checks=True)
    assert [str(each) for each in found if each.id not in SILENCED] == []
    assert set(SILENCED) == {"security.W005", "security.W021"}
    assert all(SILENCED.values())


def test_cookies_go_by_https_alone_where_the_site_does(tmp_path, site):
    """And browsers are told so, with one's own certificate; not with that of this machine."""
    for hsts in (True, False):
        served = served_settings(tmp_path, {"https": True, "hsts": hsts})
        with override_settings(**{**served, "STATIC_URL": "/static/", "ALLOWED_HOSTS": ["*"]}):
            browser = site.browser()
            answer = browser.get("/", secure=True)
            assert ("Strict-Transport-Security" in answer) is hsts
            assert answer.cookies["csrftoken"]["secure"] is True
            assert answer.cookies["csrftoken"]["httponly"] is True
            said = {"name": OWNER, "password": "a rusty old gate hinge"}
            signed = browser.post("/in", said, secure=True)
            assert signed.cookies[COOKIE]["secure"] is True
            assert browser.get("/").status_code == 301
