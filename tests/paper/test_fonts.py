"""The fonts of paper are those that were taken over, unpacked as the standard says."""

import json
from hashlib import sha256

from putback.logbook.tags import tag_at
from putback.paper.stock import STOCKS
from putback.paper.tags import TagLabel, tags_pdf
from putback.paper.typeset import FONTS


def test_no_font_was_changed():
    """Each file is the one that was taken over, by its digest, and none stands beside the list."""
    listed = json.loads((FONTS / "VERSIONS.json").read_text())
    there = {each.name: each for each in FONTS.iterdir()}
    del there["VERSIONS.json"]
    assert set(there) == set(listed)
    for name, said in listed.items():
        assert sha256(there[name].read_bytes()).hexdigest() == said["sha256"], name


def test_names_are_set_in_the_fonts_of_the_house(printed):
    """What has only plain letters is set in B612 and B612 Mono, and in nothing else."""
    page = printed(tags_pdf([TagLabel(tag_at(0), "Dunlin", "bag")], STOCKS[0])).reader.pages[0]
    names = {each.get_object()["/BaseFont"] for each in page["/Resources"]["/Font"].values()}
    assert {each.split("+")[1].split("-")[0] for each in names} == {"B612", "B612Mono"}
