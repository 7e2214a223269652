"""Which joints and bags share hardware, and so are folded together."""

from collections.abc import Iterable, Mapping

from putback.logbook.entries.base import Subject

_SHARING = ("joint:", "tag:", "stock")


class Clusters:
    """Disjoint sets of subjects, joined by entries that move pieces from one to another.

    Sets only ever grow: an entry struck out leaves its joint and bag together, which costs a
    little time and changes no result.
    """

    def __init__(self, sets: Iterable[tuple[Subject, ...]] = ()) -> None:
        self._set_of: dict[Subject, list[Subject]] = {}
        for members in sets:
            self.join(members)

    def join(self, subjects: Iterable[Subject]) -> None:
        """Put the joints, bags and stock among the subjects into one set."""
        first: list[Subject] | None = None
        for subject in subjects:
            if not subject.startswith(_SHARING):
                continue
            own = self._set_of.setdefault(subject, [subject])
            if first is None:
                first = own
            elif own is not first:
                if len(own) > len(first):
                    first, own = own, first
                first.extend(own)
                for each in own:
                    self._set_of[each] = first

    def members(self, subject: Subject) -> tuple[Subject, ...]:
        """Give all that shares hardware with the subject, itself included, sorted."""
        return tuple(sorted(self._set_of.get(subject, (subject,))))

    def sets(self) -> list[tuple[Subject, ...]]:
        """Give every set of more than one."""
        unique: Mapping[int, list[Subject]] = {id(each): each for each in self._set_of.values()}
        return [tuple(sorted(each)) for each in unique.values() if len(each) > 1]
