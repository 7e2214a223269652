"""Ways to spoil a plan written as lines: leave out, add, move, write otherwise."""

from collections.abc import Callable

Lines = list[str]
Edit = Callable[[Lines], Lines]


def without(*starts: str) -> Edit:
    """Leave out the steps that begin so."""

    def change(lines: Lines) -> Lines:
        left = [line for line in lines if not line.startswith(starts)]
        assert len(left) < len(lines), f"no line begins with {starts}"
        return left

    return change


def changed(old: str, new: str) -> Edit:
    """Write one line otherwise."""

    def change(lines: Lines) -> Lines:
        assert old in lines
        return [new if line == old else line for line in lines]

    return change


def at(standing: str, *starts: str) -> Edit:
    """Do the steps that begin so in another standing."""

    def change(lines: Lines) -> Lines:
        assert any(line.startswith(starts) for line in lines)
        return [
            f"{line.partition(' @ ')[0]} @ {standing}" if line.startswith(starts) else line
            for line in lines
        ]

    return change


def with_more(line: str, before: str | None = None) -> Edit:
    """Put one more line in, at the end or before another."""

    def change(lines: Lines) -> Lines:
        place = len(lines)
        if before is not None:
            place = next(at for at, each in enumerate(lines) if each.startswith(before))
        return [*lines[:place], line, *lines[place:]]

    return change


def moved(start: str, before: str) -> Edit:
    """Do a step before another, in the same standing as that."""

    def change(lines: Lines) -> Lines:
        line = next(each for each in lines if each.startswith(start))
        there = next(each for each in lines if each.startswith(before))
        standing = there.partition(" @ ")[2].partition(" | ")[0]
        deed, _, rest = line.partition(" @ ")
        more = "".join(f" | {each}" for each in rest.split(" | ")[1:])
        left = [each for each in lines if each is not line]
        return with_more(f"{deed} @ {standing}{more}", before)(left)

    return change


def all_of(*edits: Edit) -> Edit:
    """Make one edit after the other."""

    def change(lines: Lines) -> Lines:
        for edit in edits:
            lines = edit(lines)
        return lines

    return change
