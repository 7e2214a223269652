"""What a phone needs to open the app without a network is there, complete, and says nothing."""

import json
import re

import pytest

from putback.web import offline_bundle
from putback.web.assets import STATIC, static_prefix
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


def test_what_the_joined_files_ask_for_later_is_held_and_is_not_there_twice():
    """Fonts, and scripts that few need; a script with a state twice would have two states."""
    prefix = f"/{static_prefix()}/putback/"
    later = re.findall(rf'import\("{prefix}js/(\w+)\.js"\)', script().text)
    asked = [f"{prefix}js/{name}.js" for name in later]
    asked += re.findall(r"""url\(["']?([^"')]+)""", sheet().text)
    assert later
    assert len(asked) > len(later)
    for each in asked:
        assert each.startswith(prefix)
        assert (STATIC / "putback" / each.removeprefix(prefix)).is_file()
    joined = set(re.findall(r"^const module_(\w+) = ", script().text, re.MULTILINE))
    assert modules_of(*later) & {*joined, *offline_bundle.ENTRIES} == {"tag"}  # it keeps nothing


def modules_of(*names: str) -> set[str]:
    """Scripts, and those that they ask for, near or far."""
    found, todo = set(), [*names]
    while todo:
        name = todo.pop()
        if name not in found:
            found.add(name)
            text = (STATIC / "putback" / "js" / f"{name}.js").read_text(encoding="utf-8")
            todo += re.findall(r'"\./(\w+)\.js"', text)
    return found


def joined_of(modules: dict[str, str], folder, monkeypatch) -> str:
    """Join scripts that are made for it; the first is the page's own."""
    (folder / "putback" / "js").mkdir(parents=True)
    for name, text in modules.items():
        (folder / "putback" / "js" / f"{name}.js").write_text(text)
    monkeypatch.setattr(offline_bundle, "STATIC", folder)
    monkeypatch.setattr(offline_bundle, "ENTRIES", (next(iter(modules)),))
    return script.__wrapped__().text


def test_a_module_stands_after_what_it_asks_for_and_in_a_scope_of_its_own(tmp_path, monkeypatch):
    """What it gives, and no more, is seen by those that ask for it, under the name they chose."""
    modules = {
        "page": 'import { b as other } from "./two.js";\nother(await 1);\n',
        "two": 'import {\n  A,\n} from "./one.js";\nexport async function b() { return A; }\n',
        "one": "const hidden = 1;\nexport const A = hidden;\n",
    }
    assert joined_of(modules, tmp_path, monkeypatch).splitlines() == [
        "const module_one = (() => {",
        "const hidden = 1;",
        "const A = hidden;",
        "return { A };",
        "})();",
        "const module_two = (() => {",
        "const {",
        "  A,",
        "} = module_one;",
        "async function b() { return A; }",
        "return { b };",
        "})();",
        "(async () => {",
        "const { b: other } = module_two;",
        "other(await 1);",
        "})();",
    ]


@pytest.mark.parametrize(
    ("modules", "said"),
    [
        (
            {
                "one": 'import { b } from "./two.js";\nexport const a = 1;\n',
                "two": 'import { a } from "./one.js";\nexport const b = 1;\n',
            },
            "ask for each other: one, two, one",
        ),
        ({"one": 'import "./two.js";\n', "two": ""}, "one.js imports or exports in a way"),
        ({"one": "export default 1;\n"}, "one.js imports or exports in a way"),
        ({"one": "export let a = 1;\n"}, "one.js imports or exports in a way"),
        ({"one": "new URL('two.js', import.meta.url);\n"}, "one.js imports or exports in a way"),
    ],
)
def test_scripts_that_cannot_be_joined_are_refused(modules, said, tmp_path, monkeypatch):
    """Better no page than one that does half of it."""
    with pytest.raises(ValueError, match=said):
        joined_of(modules, tmp_path, monkeypatch)


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
