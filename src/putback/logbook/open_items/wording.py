"""Counts and lists as a person writes them."""

from collections.abc import Iterable


def count(number: int, one: str, many: str = "") -> str:
    """Say how many.

    Examples
    --------
    >>> count(1, "end"), count(3, "end"), count(2, "leaf", "leaves")
    ('1 end', '3 ends', '2 leaves')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def bags(number: int) -> str:
    """Say how many bags; two is what nearly always is meant.

    Examples
    --------
    >>> bags(2), bags(3)
    ('two bags', '3 bags')
    """
    return "two bags" if number == 2 else count(number, "bag")


def listed(names: Iterable[str], most: int = 4) -> str:
    """List names, the first few of many.

    Examples
    --------
    >>> listed(["bolt"]), listed(["bolt", "nut", "pin"]), listed("abcdefg", 3)
    ('bolt', 'bolt, nut and pin', 'a, b, c and 4 more')
    """
    names = list(names)
    if len(names) > most:
        return f"{', '.join(names[:most])} and {len(names) - most} more"
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))
