"""Entries said as plain values."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import TagCode
from putback.logbook.entries.registry import KINDS
from putback.logbook.entries.working import JointUndone, NoteMade, PartOff
from putback.vehicle.ids import JointId, PartId
from putback.workshop.saying.plain import read_plain
from tests.strategies.entries import bodies_of


def test_values_of_a_form_are_read_as_what_they_mean():
    """A form sends text alone: figures and choices are read from it."""
    said = [
        {"kind": "joint undone", "joint": "j", "out": "3", "of": "4"},
        {"kind": "part off", "part": "p"},
    ]
    assert read_plain(said) == (
        JointUndone(joint=JointId("j"), out=3, of=4),
        PartOff(part=PartId("p")),
    )


@given(st.sampled_from(sorted(KINDS)).flatmap(bodies_of))
def test_every_body_can_be_said_plainly(body):
    """Whatever kind of entry there is, its own plain values say it again."""
    plain = json.loads(body.model_dump_json())
    if "kind" in plain:
        plain["its_kind"] = plain.pop("kind")
    assert read_plain([{"kind": body.KIND, **plain}]) == (body,)


def test_the_kind_of_an_entry_must_be_one():
    """A kind that is not there is told with those that are called like it."""
    with pytest.raises(NotFound, match="part off"):
        read_plain([{"kind": "part of", "part": "p"}])
    with pytest.raises(NotFound):
        read_plain([{"part": "p"}])


def test_nothing_is_no_act():
    """An act without an entry is refused."""
    with pytest.raises(BadInput, match="nothing was said; say at least one entry"):
        read_plain([])


def test_the_first_fault_is_told_with_its_entry():
    """Which entry, which field, what is wrong, and that nothing was saved."""
    said = [NoteMade(text="fine").model_dump() | {"kind": "note"}, {"kind": "note", "txt": "x"}]
    with pytest.raises(BadInput, match=r"^entry 2, note: .*; nothing was saved$"):
        read_plain(said)


def test_quantities_and_tags_are_read_as_people_type_them():
    """A torque in any unit is N·m, a tag in small letters is itself, at any depth."""
    (made,) = read_plain(
        [{"kind": "joint made", "joint": "j", "tightness": "final", "torque_nm": "18 lb ft"}]
    )
    assert made.torque_nm == pytest.approx(24.405, abs=1e-3)  # 18 x 1.355818 (NIST SP 811)
    (undone,) = read_plain(
        [
            {
                "kind": "joint undone",
                "joint": "j",
                "tag": "3cah",
                "went": [{"to": "tag", "fixings": "1", "tag": "3 cah"}],
            }
        ]
    )
    assert (undone.tag, undone.went[0].tag) == ("3CAH", "3CAH")


def test_a_misread_tag_is_refused():
    """A tag that was never issued is a slip: it is said, and nothing is written."""
    with pytest.raises(BadInput, match=r"^entry 1, put in: tag '3CAK' .*; nothing was saved$"):
        read_plain([{"kind": "put in", "what": "part:p", "tag": "3CAK"}])


@pytest.mark.parametrize("whither", ["own hole", "on part", "scrap", "pattern", "not recorded"])
def test_one_word_says_where_all_pieces_went(whither):
    """It counts for every fixing that is out, and the bag is not meant then."""
    said = {"kind": "joint undone", "joint": "j", "out": "3", "of": "4", "tag": "3CAH"}
    (body,) = read_plain([said | {"all_went": whither}])
    assert isinstance(body, JointUndone)
    assert [(each.to, each.fixings) for each in body.went] == [(whither, 3)]
    assert body.tag is None


def test_into_a_bag_is_said_by_its_tag():
    """The word for a tagged bag leaves it to the tag."""
    said = {"kind": "joint undone", "joint": "j", "out": "3", "tag": "3cah", "all_went": "tag"}
    assert read_plain([said]) == (JointUndone(joint=JointId("j"), out=3, tag=TagCode("3CAH")),)
