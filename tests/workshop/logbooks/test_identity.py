"""Identities are UUIDv7s that only grow, and hybrid clocks never stand behind what was seen."""

import uuid
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.workshop.logbooks.identity import HybridClock, Identities, _layout, following

MOMENTS = st.integers(0, 2**48 - 2**20)
"""Milliseconds that fit, with room to be moved on."""


def test_the_layout_is_that_of_the_standard():
    """RFC 9562, appendix A.6: the example of a UUIDv7, put together from its own fields."""
    unix_ts_ms, rand_a, rand_b = 0x017F22E279B0, 0xCC3, 0x18C4DC0C0C07398F
    random = rand_a << 62 | rand_b
    made = _layout(unix_ts_ms, random >> 32, random & 0xFFFFFFFF)
    assert made == uuid.UUID("017F22E2-79B0-7CC3-98C4-DC0C0C07398F")


@given(MOMENTS)
def test_fields_stand_where_the_standard_puts_them(now_ms):
    """RFC 9562, 5.7: 48 bits of time, version 7, variant 10."""
    made = uuid.UUID(Identities().next(now_ms))
    assert made.int >> 80 == now_ms
    assert (made.version, made.variant) == (7, uuid.RFC_4122)


@given(st.lists(MOMENTS, min_size=2, max_size=200))
def test_identities_only_grow(moments):
    """Whatever the wall clock does, as numbers and as text; and none comes twice."""
    identities = Identities()
    made = [identities.next(now_ms) for now_ms in moments]
    assert made == sorted(set(made))
    assert [uuid.UUID(each).int for each in made] == sorted(uuid.UUID(each).int for each in made)


def test_a_counter_that_runs_over_moves_the_time_on():
    """RFC 9562, 6.2: the time stamp goes ahead of the clock rather than the order being lost."""
    identities = Identities(random=lambda bits: (1 << bits) - 1)
    first = uuid.UUID(identities.next(1_000))
    identities._counter = (1 << 42) - 1
    second = uuid.UUID(identities.next(1_000))
    third = uuid.UUID(identities.next(1_000))
    assert [each.int >> 80 for each in (first, second, third)] == [1_000, 1_001, 1_001]
    assert first < second < third


def test_the_counter_begins_in_its_lower_half():
    """RFC 9562, 6.2: room is left to count, whatever the random number is."""
    identities = Identities(random=lambda bits: (1 << bits) - 1)
    identities.next(1_000)
    assert identities._counter == (1 << 41) - 1


def test_two_devices_make_different_identities():
    """In the same millisecond as well."""
    one, other = Identities(), Identities()
    made = [each.next(1_000) for each in (one, other) for _ in range(1_000)]
    assert len(set(made)) == 2_000


@given(
    st.lists(
        st.one_of(
            st.tuples(st.just("tick"), MOMENTS),
            st.tuples(st.just("see"), st.tuples(MOMENTS, st.integers(0, 100))),
        )
    )
)
def test_a_hybrid_clock_stands_behind_nothing_it_saw(steps):
    """Every tick is later than all ticks and all that was seen before, and than no wall clock."""
    clock, latest = HybridClock(), (0, 0)
    for step, value in steps:
        if step == "see":
            clock.see(value)
            latest = max(latest, value)
        else:
            ticked = clock.tick(value)
            assert ticked > latest
            assert ticked[0] >= value
            latest = ticked


@given(MOMENTS, st.lists(st.text()), st.lists(st.text()))
def test_what_follows_is_always_the_same_and_of_the_same_moment(now_ms, said, otherwise):
    """A UUIDv7 of the other's time stamp; what is said otherwise makes another."""
    identity = Identities().next(now_ms)
    found = following(identity, *said)
    made = uuid.UUID(found)
    assert found == following(identity.upper(), *said) != identity
    assert (made.version, made.variant, made.int >> 80) == (7, uuid.RFC_4122, now_ms)
    is_same = "\0".join(("", *said)) == "\0".join(("", *otherwise))
    assert (found == following(identity, *otherwise)) == is_same
    assert found != following(Identities().next(now_ms), *said)


@pytest.mark.parametrize("other", ["", "x", "6fa459ea-ee8a-4ca4-894e-db77e160355e"])
def test_nothing_follows_from_what_is_no_uuid_of_version_7(other):
    """The last one is of version 4."""
    with pytest.raises(ValueError, match=f"^{other}$|badly formed"):
        following(other, "said")


def test_a_hybrid_clock_follows_the_wall_clock():
    """As soon as the wall clock is ahead, the counter begins anew."""
    clock = HybridClock((5_000, 7))
    assert clock.tick(4_000) == (5_000, 8)
    assert clock.tick(5_000) == (5_000, 9)
    assert clock.tick(5_001) == (5_001, 0)


def test_threads_share_identities_and_clock():
    """No two of them ever get the same."""
    identities, clock = Identities(), HybridClock()

    def make(_: int) -> list[tuple[str, tuple[int, int]]]:
        return [(identities.next(1_000), clock.tick(1_000)) for _ in range(500)]

    with ThreadPoolExecutor(4) as pool:
        made = [each for some in pool.map(make, range(4)) for each in some]
    assert len({identity for identity, _ in made}) == len({ticked for _, ticked in made}) == 2_000
