"""Words and figures as pages write them."""

import pytest

from putback.web.pages.words import room_for


@pytest.mark.parametrize(
    ("name", "width", "room"),
    [
        ("on its wheels", 0.8, ""),
        ("on four stands under the rails", 0.2, "on-desk"),
        ("on four stands under the rails", 0.04, "nowhere"),
    ],
)
def test_a_name_stands_where_it_has_room(name, width, room):
    """Cut off, it would tell nothing: half a name on a phone is left out there."""
    assert room_for(name, width) == room
