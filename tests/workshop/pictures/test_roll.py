"""A roll cut at its tags, on rolls made at random and on those that go wrong in garages."""

from datetime import datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.entries.base import TagCode
from putback.workshop.logbooks.ports import PhotoId
from putback.workshop.pictures.roll import LONG_PAUSE, Shot, by_camera, cut, in_order

START = datetime(2031, 5, 12, 14, 0)  # noqa: DTZ001 - a camera knows no zone
BAG, BOX = TagCode("K7F4"), TagCode("3CAH")


def shot(number, *tags, minutes=None, camera="", name=""):
    """A picture so many minutes after the start, or at no known time."""
    at = None if minutes is None else START + timedelta(minutes=minutes)
    return Shot(PhotoId(f"{number:064x}"), name or f"IMG_{number}.jpg", at, camera, tags)


def told(roll):
    """The groups by tag, as names."""
    return [(each.tag, [shot.name for shot in each.shots]) for each in roll.groups]


TAGS = st.lists(st.sampled_from([BAG, BOX, TagCode("H3AD")]), max_size=2, unique=True).map(tuple)
SHOTS = st.lists(
    st.builds(
        Shot,
        photo=st.integers(0, 30).map(lambda number: PhotoId(f"{number:064x}")),
        name=st.sampled_from(["a1.jpg", "a2.jpg", "a10.jpg", "b.jpg", ""]),
        taken_at=st.none() | st.integers(0, 500).map(lambda at: START + timedelta(minutes=at)),
        camera=st.sampled_from(["", "phone", "other"]),
        tags=TAGS,
    ),
    max_size=20,
)


@given(SHOTS)
def test_every_picture_is_in_exactly_one_group(shots):
    """None is lost, none is twice; each group has its own tag, the loose ones come first."""
    roll = cut(shots)
    placed = [each.photo for group in roll.groups for each in group.shots]
    assert sorted(placed) == sorted({each.photo for each in shots})
    tags = [group.tag for group in roll.groups]
    assert len(tags) == len(set(tags))
    assert None not in tags[1:]
    assert all(group.shots for group in roll.groups)


@given(SHOTS, st.randoms())
def test_the_order_in_which_they_were_chosen_does_not_matter(shots, dice):
    """Chosen in another order, the roll is cut the same."""
    once = list({each.photo: each for each in shots}.values())
    again = list(once)
    dice.shuffle(again)
    assert cut(again) == cut(once)


@given(SHOTS)
def test_each_is_under_the_tag_shown_last_by_its_own_camera(shots):
    """Said anew, picture by picture, from the definition."""
    roll = cut(shots)
    under = {each.photo: group.tag for group in roll.groups for each in group.shots}
    for taken in by_camera(shots):
        ordered = in_order(taken)
        for at, each in enumerate(ordered):
            shown = [one.tags[0] for one in ordered[: at + 1] if len(one.tags) == 1]
            assert under[each.photo] == (shown[-1] if shown else None)


@given(SHOTS, st.integers(-10_000, 10_000))
def test_a_wrong_clock_on_one_camera_changes_no_group(shots, minutes):
    """All of one camera's times moved alike, every picture stays under its tag."""
    shots = list({each.photo: each for each in shots}.values())
    moved = [
        Shot(
            each.photo,
            each.name,
            each.taken_at + timedelta(minutes=minutes)
            if each.taken_at and each.camera == "phone"
            else each.taken_at,
            each.camera,
            each.tags,
        )
        for each in shots
    ]

    def under(roll):
        return {each.photo: group.tag for group in roll.groups for each in group.shots}

    assert under(cut(moved)) == under(cut(shots))


def test_a_plain_roll():
    """What came before the first tag stays apart; a tag shown again goes on with its group."""
    roll = cut(
        [
            shot(1, minutes=0),
            shot(2, BAG, minutes=1),
            shot(3, minutes=2),
            shot(4, BOX, minutes=3),
            shot(5, minutes=4),
            shot(6, BAG, minutes=5),
            shot(7, minutes=6),
        ]
    )
    assert told(roll) == [
        (None, ["IMG_1.jpg"]),
        (BAG, ["IMG_2.jpg", "IMG_3.jpg", "IMG_6.jpg", "IMG_7.jpg"]),
        (BOX, ["IMG_4.jpg", "IMG_5.jpg"]),
    ]
    assert roll.doubts == ()


def test_two_cameras_are_cut_each_by_itself():
    """A second camera, years behind: its pictures go under the tags that it saw itself."""
    phone = [shot(1, BAG, minutes=0, camera="phone"), shot(2, minutes=9, camera="phone")]
    other = [shot(3, BOX, minutes=5, camera="other"), shot(4, minutes=-99_999, camera="other")]
    roll = cut([*phone, *other])
    assert told(roll) == [
        (None, ["IMG_4.jpg"]),
        (BOX, ["IMG_3.jpg"]),
        (BAG, ["IMG_1.jpg", "IMG_2.jpg"]),
    ]
    assert any("2 cameras" in each for each in roll.doubts)


def test_a_picture_that_lost_what_its_camera_wrote_goes_with_the_others():
    """Sent by a messenger, say: with one camera there is no doubt whose it is; names decide."""
    timed = [shot(1, BAG, minutes=0, camera="phone"), shot(3, BOX, minutes=1, camera="phone")]
    assert told(cut([*timed, shot(2)])) == [
        (BAG, ["IMG_1.jpg", "IMG_2.jpg"]),
        (BOX, ["IMG_3.jpg"]),
    ]


def test_names_count_as_people_count_where_there_is_no_time():
    """IMG_9 comes before IMG_10; and it is said that the names decided."""
    roll = cut([shot(10), shot(9, BAG)])
    assert told(roll) == [(BAG, ["IMG_9.jpg", "IMG_10.jpg"])]
    assert any("without a time" in each for each in roll.doubts)


def test_times_that_contradict_names_are_told():
    """The clock was set back between two pictures: times decide, and somebody should look."""
    roll = cut([shot(1, BAG, minutes=60), shot(2, minutes=0)])
    assert told(roll) == [(None, ["IMG_2.jpg"]), (BAG, ["IMG_1.jpg"])]
    assert any("disagree" in each for each in roll.doubts)


def test_a_long_pause_under_one_tag_is_told():
    """Just under it nothing is said; and a tag shown again after it says all is well."""
    longer = LONG_PAUSE.total_seconds() / 60 + 1
    late = cut([shot(1, BAG, minutes=0), shot(2, minutes=1), shot(3, minutes=1 + longer)])
    assert [each for each in late.doubts if "lie between IMG_2.jpg and IMG_3.jpg" in each]
    shown_again = [
        shot(1, BAG, minutes=0),
        shot(2, minutes=1),
        shot(3, BAG, minutes=1 + longer),
        shot(4, minutes=2 + longer),
    ]
    assert cut(shown_again).doubts == ()
    assert cut([shot(1, BAG, minutes=0), shot(2, minutes=longer - 2)]).doubts == ()


def test_two_tags_in_one_picture_begin_no_group():
    """It stays where it was, and is told."""
    roll = cut([shot(1, BAG, minutes=0), shot(2, BAG, BOX, minutes=1), shot(3, minutes=2)])
    assert [group.tag for group in roll.groups] == [BAG]
    assert any("K7F4 and 3CAH" in each for each in roll.doubts)


def test_a_tag_without_a_picture_after_it_is_told():
    """Somebody showed it and photographed nothing, or the pictures are missing."""
    roll = cut([shot(1, BAG, minutes=0), shot(2, BOX, minutes=1), shot(3, minutes=2)])
    assert roll.doubts == ("Nothing was photographed after K7F4 was shown.",)
