"""A recorded story, line by line."""

import json

import pytest

from putback.errors import BadInput
from putback.workshop.exchange import story


def test_the_shipped_story_is_read_whole():
    """It begins with the phones, has every sort of line, and ends by asking whether it closes."""
    events = list(story.demo_story())
    assert isinstance(events[0], story.Phones)
    assert {type(event) for event in events} == {
        story.Phones,
        story.Sitting,
        story.Sent,
        story.PhotoSent,
        story.Exchange,
        story.Question,
    }
    assert events[-1] == story.Question("closes", "", "")


def test_entries_stay_the_bytes_that_a_phone_sent():
    """Each line is the canonical form of one entry."""
    sent = next(event for event in story.demo_story() if isinstance(event, story.Sent))
    assert all(json.loads(line)["logbook"] == sent.logbook for line in sent.lines)


def test_a_line_that_says_nothing_is_named(monkeypatch, tmp_path):
    """By its number."""
    folder = tmp_path / "data"
    folder.mkdir()
    (folder / "demo-story.jsonl").write_text('{"ask":"closes"}\n{"sing":"a song"}\n')
    monkeypatch.setattr(story, "files", lambda _: tmp_path)
    with pytest.raises(BadInput, match="line 2: this line of the story says nothing"):
        list(story.demo_story())
