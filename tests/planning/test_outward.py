"""Parts ranked from what bears outwards: each could be held by one before it."""

from random import Random

from putback.planning.held.holding import Hold, Links
from putback.planning.search.outward import outward
from tests.makers import vehicle


def web(rnd: Random) -> Links:
    """Parts joined at random, some of them off."""
    names = [f"p{number}" for number in range(9)]
    pairs = {tuple(sorted(rnd.sample(names, 2))) for _ in range(rnd.randrange(6, 16))}
    lines = [f"{one} - {other}: 1 bolt M8" for one, other in sorted(pairs)]
    v = vehicle(*lines, datum=sorted(pairs)[0][0])
    return Links(v, v.joints, [rnd.choice(names)])


def late(part: int) -> tuple[int, ...]:
    """Some key of a part."""
    return (part * 7 % 5,)


def test_each_part_that_is_led_to_comes_after_one_it_is_joined_to():
    """Of drawn webs; what no joint leads to has no rank, and what is held comes first."""
    rnd, unheld = Random(5), 0
    for _ in range(400):
        links = web(rnd)
        bearing = frozenset(rnd.sample(range(len(links.parts)), 2))
        hold = Hold(links)
        hold.rest_on(bearing)
        for joint in range(len(links.joints)):
            hold.made[joint] = rnd.random() < 0.7
        for ranks, made in (
            (outward(links, bearing, late), None),
            (outward(links, bearing, late, hold), hold),
        ):
            before = {part: {o for _, o in links.stiff_of[part]} for part in ranks}
            for part, rank in ranks.items():
                assert part in bearing or any(ranks.get(o, rank) < rank for o in before[part])
            for part in range(len(links.parts)):
                is_led_to = any(o in ranks for _, o in links.stiff_of[part])
                assert part in ranks or not links.on[part] or not is_led_to
            if made is None:
                continue
            held = [part for part in ranks if links.on[part] and made.is_held(part)]
            others = [part for part in ranks if part not in held and part not in bearing]
            unheld += bool(held and others)
            assert max((ranks[part] for part in held), default=0) < min(
                (ranks[part] for part in others), default=len(links.parts)
            )
    assert unheld > 100


def test_of_those_that_could_be_next_the_one_that_comes_off_latest_is():
    """Two on the frame, and one on the second of them."""
    v = vehicle("a - frame: 1 bolt M8", "b - frame: 1 bolt M8", "c - b: 1 bolt M8", datum="frame")
    links = Links(v, v.joints)
    frame = links.part_at["frame"]
    for order in (["a", "b", "c"], ["b", "c", "a"], ["b", "a", "c"]):
        keys = {links.part_at[name]: (at,) for at, name in enumerate(order)}
        ranks = outward(links, {frame}, keys.__getitem__)
        assert [links.parts[part] for part in sorted(ranks, key=ranks.get)] == ["frame", *order]
