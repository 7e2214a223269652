"""Circles: what waits only for each other."""

from collections.abc import Collection, Iterator, Mapping, Sequence


def circles_in(
    waiting: Sequence[int], asked: Mapping[int, Sequence[Sequence[int]]], done: Collection[int]
) -> Iterator[frozenset[int]]:
    """Of what waits for each other, the sets that wait for nothing besides, each once."""
    among = frozenset(waiting)
    behind: dict[int, frozenset[int]] = {}
    for index in waiting:
        seen, todo = {index}, [index]
        for each in todo:
            for ways in asked[each]:
                if not any(by in done for by in ways):
                    fresh = among.intersection(ways) - seen
                    seen |= fresh
                    todo += sorted(fresh)
        behind[index] = frozenset(seen)
    for some in dict.fromkeys(behind.values()):
        if all(behind[index] == some for index in some):
            yield some
