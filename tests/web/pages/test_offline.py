"""What a phone needs to open the app without a network is there, complete, and says nothing."""

import json
import re

from putback.web.assets import STATIC
from tests.web.site import OWNER

IMPORTED = re.compile(r'^(?:import|export)[^;]*?from "\./([a-z_0-9]+\.js)"', re.MULTILINE)


def imported_by(names: set[str]) -> set[str]:
    """The modules that these ask for, near or far."""
    found: set[str] = set()
    todo = list(names)
    while todo:
        text = (STATIC / "putback" / "js" / todo.pop()).read_text(encoding="utf-8")
        for name in IMPORTED.findall(text):
            if name not in found:
                found.add(name)
                todo.append(name)
    return found


def test_the_page_without_a_network_asks_for_all_its_modules_at_once(site):
    """None is found only after another came: a waterfall would cost seconds on a slow phone."""
    page = site.browser(None).get("/offline").content.decode()
    scripts = set(re.findall(r'js/([a-z_0-9]+\.js)" type="module"', page))
    ahead = set(re.findall(r'modulepreload" href="[^"]*/js/([a-z_0-9]+\.js)"', page))
    assert "offline_now.js" in scripts
    assert ahead == imported_by(scripts) - scripts


def test_the_worker_serves_the_whole_site_and_holds_all_files_of_the_app(site):
    """Each address of the shell answers, the app's pages say nothing of who asks."""
    browser = site.browser(None)
    answer = browser.get("/worker.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Cache-Control"] == "no-cache"
    assert "worker-src 'self'" in answer["Content-Security-Policy"]
    shell = json.loads(re.search(r"const SHELL = (.*);", answer.content.decode())[1])
    files = [each for each in shell["needed"] + shell["large"] if each.startswith("/static/")]
    for each in files:
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
