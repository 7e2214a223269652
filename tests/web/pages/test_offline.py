"""What a phone needs to open the app without a network is there, complete, and says nothing."""

import json
import re

from putback.web.assets import STATIC
from putback.web.offline_bundle import bundles, script, sheet
from tests.web.site import OWNER


def test_the_page_without_a_network_asks_for_two_files_of_its_own(site):
    """One script and one sheet, which answer, and have each module and style once."""
    browser = site.browser(None)
    page = browser.get("/offline").content.decode()
    assert re.findall(r"<script src=\"([^\"]+)\"", page) == [script().address]
    assert re.findall(r"<link rel=\"stylesheet\" href=\"([^\"]+)\"", page) == [sheet().address]
    for each in bundles():
        answer = browser.get(each.address)
        assert answer.content.decode() == each.text
        assert answer["Content-Type"].startswith(each.media_type)
        assert browser.get(each.address.replace(each.digest, "0" * 16)).status_code == 404
    made = re.findall(r"^const module_(\w+) = ", script().text, re.MULTILINE)
    asked = set(re.findall(r"= module_(\w+);", script().text))
    assert len(made) == len(set(made))
    assert asked <= set(made)
    assert all(
        made.index(other) < made.index(name)
        for name in made
        for other in re.findall(r"= module_(\w+);", scope_of(name))
    )


def scope_of(name: str) -> str:
    """What stands in the scope of a module."""
    return script().text.split(f"const module_{name} = ")[1].split("\n})();")[0]


def test_the_worker_serves_the_whole_site_and_holds_all_files_of_the_app(site):
    """Each address of the shell answers, the app's pages say nothing of who asks."""
    browser = site.browser(None)
    answer = browser.get("/worker.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Cache-Control"] == "no-cache"
    assert "worker-src 'self'" in answer["Content-Security-Policy"]
    shell = json.loads(re.search(r"const SHELL = (.*);", answer.content.decode())[1])
    files = [each for each in shell["needed"] + shell["large"] if each.startswith("/static/")]
    joined = {each.address for each in bundles()}
    assert joined < set(files)
    for each in set(files) - joined:
        assert (STATIC / each.split("/", 3)[3]).is_file()
    assert any(each.endswith("/offline_now.js") for each in files)
    assert any(each.endswith(".woff2") for each in files)
    for page in ("/offline", "/phone", "/scan", "/slate"):
        assert page in shell["needed"]
        assert "data-person" not in browser.get(page).content.decode()


def test_the_manifest_names_icons_that_are_there(site):
    """A home screen gets its icons, and the app opens on the vehicles."""
    found = site.browser(OWNER).get("/app.webmanifest").json()
    assert (found["start_url"], found["display"]) == ("/", "standalone")
    for icon in found["icons"]:
        assert (STATIC / "putback" / icon["src"].rpartition("/")[2]).is_file()
