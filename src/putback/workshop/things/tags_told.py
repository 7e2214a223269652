"""What a scanned tag stands for, for a phone that is to know it without asking anybody."""

from dataclasses import dataclass

from putback.logbook.entries.base import Subject, TagCode
from putback.logbook.state import State
from putback.workshop.saying.whereabouts import whereabouts

CONTAINERS = ("bag", "box", "crate", "shelf")
"""What may bear a tag; a shelf or a drawer is a container that nobody carries away."""
HOLDS_BAGS = frozenset({"box", "crate", "shelf"})
"""Into these one puts bags. Anything else that somebody called a container is filled as a bag."""


@dataclass(frozen=True, slots=True)
class TagTold:
    """A bag, box, crate or shelf in use."""

    tag: TagCode
    container: str
    name: str
    inside: tuple[TagCode, ...]
    """The containers it is in, the innermost first."""
    where: str
    """The same with the place, in words; empty if nobody said."""
    lines: tuple[str, ...]
    """What else is known of it and of what it holds, each line by itself."""
    parts: tuple[tuple[Subject, str], ...]
    """The parts right in it."""
    holds_bags: bool


def tell_tags(state: State) -> tuple[TagTold, ...]:
    """Tell of every tag in use, in their order."""
    parts: dict[TagCode, list[tuple[Subject, str]]] = {}
    for part, now in state.parts.items():
        if now.common.tag is not None:
            subject = Subject(f"part:{part}")
            parts.setdefault(now.common.tag, []).append((subject, state.name_of(subject)))
    return tuple(_told(state, tag, parts.get(tag, [])) for tag in sorted(state.containers))


def _told(state: State, tag: TagCode, parts: list[tuple[Subject, str]]) -> TagTold:
    subject, now = Subject(f"tag:{tag}"), state.containers[tag]
    chain = state.chain_of(subject)
    told_already = (f"{now.container}: ", *(f"in {state.name_of(each)}" for each in chain[:1]))
    lines = (each for each in whereabouts(state, subject) if not each.startswith(told_already))
    return TagTold(
        tag=tag,
        container=now.container,
        name=now.name,
        inside=tuple(TagCode(each[4:]) for each in chain if each.startswith("tag:")),
        where=", in ".join(state.name_of(each) for each in chain),
        lines=tuple(lines),
        parts=tuple(sorted(parts, key=lambda each: each[1].casefold())),
        holds_bags=now.container in HOLDS_BAGS,
    )
