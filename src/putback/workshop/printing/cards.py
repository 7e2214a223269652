"""Work cards: the sittings of the plan on hand, with all that a person takes to the vehicle."""

import re
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace

from putback.errors import BadInput, InputError, StoreError
from putback.logbook.entries.base import Subject, TagCode
from putback.logbook.moments import day_words
from putback.logbook.state import State
from putback.paper.cards import CardJob, CardMark, Fetch, WorkCard, cards_pdf
from putback.paper.words import ENGLISH, Own, Words, Written
from putback.pictures.reading import reduced
from putback.planning.plan import Action, Step
from putback.planning.rebuild.torque import torque_words
from putback.planning.sittings import sittings
from putback.units.show import duration_text
from putback.vehicle.ids import JointId, Ref, StandingId, split_ref
from putback.vehicle.joint import Joint
from putback.workshop.pictures.photo_before import photos_before
from putback.workshop.plans.job_card import JobCard, job_card, standing_card
from putback.workshop.plans.plan_sheet import SheetSitting, plan_sheet, tags_of
from putback.workshop.printing.drawn import mark, stacks, way
from putback.workshop.printing.units import Units, torque_in
from putback.workshop.printing.wanted import Wanted
from putback.workshop.saying.names import cautions_written

PHOTO_PX = 640
"""Longer edge of a photo beside a job [pixels]: some 400 dots per inch."""
_COUNTED = re.compile(r"(\d+) × (.+)")
_GOES_BACK = frozenset({Action.PUT_ON, Action.MAKE})
_STACKED = frozenset({Action.UNDO, Action.MAKE})
_MOVES = frozenset({Action.TAKE_OFF, Action.PUT_ON})
_MADE = frozenset({Action.MAKE, Action.TIGHTEN, Action.FINISH})


def cards(wanted: Wanted) -> bytes:
    """Print the cards of the plan on hand: all sittings that are still to be done, or some.

    Raises
    ------
    BadInput
        If there is no plan, nothing is left to do, or a sitting is asked for that is none.
    """
    words = wanted.words
    on_hand = wanted.on_hand()
    state = wanted.state()
    found = tuple(work_cards(state, on_hand.steps, words, wanted.units))
    title = (
        words.cards_strip.format(goal=on_hand.goal.name) if on_hand.goal else words.cards_rebuild
    )
    for number in wanted.sittings:
        if not 1 <= number <= len(found):
            raise BadInput(
                f"there is no sitting {number}", mend=f"the plan on hand has {len(found)}"
            )
    chosen = [each for each in found if not wanted.sittings or each.number in wanted.sittings]
    shown, pictures = with_photos(wanted, chosen, on_hand.steps)
    return cards_pdf(
        title, Own(state.vehicle.about.name), wanted.day(), shown, wanted.page, words, pictures
    )


def with_photos(
    wanted: Wanted, cards: Sequence[WorkCard], steps: Sequence[Step]
) -> tuple[tuple[WorkCard, ...], Mapping[str, bytes]]:
    """Put beside each job its own photo from before, where there is one, and make them small.

    A photo of several jobs is made small once. One that is spoilt is left out.
    """
    state = wanted.state()
    jobs = [job for card in cards for job in card.jobs]
    asked = [job_card(steps[job.number - 1], state) for job in jobs]
    names: dict[str, str] = {}
    pictures: dict[str, bytes] = {}
    found: dict[int, CardJob] = {}
    photos = photos_before(wanted.workshop, wanted.logbook, asked)
    for job, photo in zip(jobs, photos, strict=True):
        if photo is None or photo.stored is None:
            continue
        if photo.stored not in names:
            try:
                small = reduced(wanted.workshop.photos.get(photo.stored), PHOTO_PX)
            except (InputError, StoreError):  # spoilt, or gone meanwhile: the job is done without
                continue
            names[photo.stored] = f"{len(names)}.webp"
            pictures[names[photo.stored]] = small
        words = " · ".join(filter(None, (photo.words, day_words(photo.happened_at[:10]))))
        found[job.number] = replace(job, picture=names[photo.stored], picture_words=words)
    shown = tuple(
        replace(card, jobs=tuple(found.get(job.number, job) for job in card.jobs))
        for card in cards
    )
    return shown, pictures


def work_cards(
    state: State, steps: Sequence[Step], words: Words = ENGLISH, units: Units = Units.BOTH
) -> Iterator[WorkCard]:
    """Lay out a card for each sitting of some steps."""
    heads, written = plan_sheet(state, steps, opened=-1).sittings, cautions_written(state)
    for number, (sitting, head) in enumerate(zip(sittings(steps), heads, strict=True), start=1):
        these = steps[sitting.first : sitting.end]
        jobs = tuple(
            _job(
                words,
                units,
                state,
                written,
                sitting.first + at + 1,
                step,
                job_card(step, state, steps[sitting.first + at + 1 :]),
            )
            for at, step in enumerate(these)
        )
        yield WorkCard(
            number=number,
            of=len(heads),
            zone=head.zone,
            standing=head.standing,
            stage=head.stage,
            minutes=_about(words, head),
            is_change=head.is_change,
            bears=_bears(state, sitting.standing),
            before=head.before,
            tools=tuple(dict.fromkeys(step.tool for step in these if step.tool)),
            fetch=_fetch(state, these),
            have=(*_bags(words, jobs), *_have(state, these)),
            jobs=jobs,
        )


def _about(words: Words, head: SheetSitting) -> str:
    return words.about_long.format(duration=duration_text(head.minutes)) if head.minutes else ""


def _bears(state: State, standing: StandingId | None) -> tuple[str, ...]:
    if standing is None or standing not in state.vehicle.standings:
        return ()
    return standing_card(standing, state).fastenings


def _bags(words: Words, jobs: Sequence[CardJob]) -> Iterator[str]:
    """Bags and tags for what comes loose: one for each joint with loose pieces."""
    number = sum(job.into_bag for job in jobs)
    if number:
        yield words.one_bag if number == 1 else words.bags.format(n=number)


def _have(state: State, steps: Sequence[Step]) -> tuple[str, ...]:
    """The new pieces that some steps take, added up, and what is used up in making joints."""
    pieces: Counter[str] = Counter()
    others: dict[str, None] = {}
    for step in steps:
        for each in step.renew:
            if counted := _COUNTED.fullmatch(each):
                pieces[counted[2]] += int(counted[1])
            else:
                others[each] = None
        joint = _joint(state, step.what)
        if joint is not None and step.action in _MADE:
            others.update(
                (f"{each.what}{f' ({each.how})' if each.how else ''}", None)
                for each in joint.used_up
            )
    return (*(f"{number} × {spec}" for spec, number in pieces.items()), *others)


def _fetch(state: State, steps: Sequence[Step]) -> tuple[Fetch, ...]:
    """What to bring for what goes back: bags by their tags, parts by where they lie, by place."""
    found: dict[str, Fetch] = {}
    for step in steps:
        if step.action not in _GOES_BACK:
            continue
        for tag in tags_of(state, step):
            subject = Subject(f"tag:{tag}")
            named = state.containers[TagCode(tag)].name if tag in state.containers else ""
            what = named or state.name_of(step.what)
            found.setdefault(tag, Fetch(_where(state, subject), what, tag))
        if split_ref(step.what)[0] == "part" and not tags_of(state, step):
            where = _where(state, Subject(step.what))
            if where:
                found.setdefault(step.what, Fetch(where, state.name_of(step.what)))
    return tuple(sorted(found.values(), key=lambda each: (not each.where, each.where, each.tag)))


def _where(state: State, subject: Subject) -> str:
    """Where it is, the place first, as one walks: shelf, crate, bag."""
    return ", ".join(state.name_of(each) for each in reversed(state.chain_of(subject)))


def _joint(state: State, what: Ref) -> Joint | None:
    kind, identity = split_ref(what)
    return state.vehicle.joints.get(JointId(identity)) if kind == "joint" else None


def _job(
    words: Words,
    units: Units,
    state: State,
    written: Collection[str],
    number: int,
    step: Step,
    card: JobCard,
) -> CardJob:
    joint = _joint(state, step.what)
    is_nipped = step.action is Action.TIGHTEN and card.tightness == "nipped"
    critical = joint is not None and joint.critical
    drawn_through = tuple(way(state, card.parts)) if step.action in _MOVES else ()
    return CardJob(
        number=number,
        verb=card.verb,
        title=Own(card.title),
        pieces=card.fastenings if step.action is not Action.CHECK else (),
        stacks=stacks(joint) if step.action in _STACKED else (),
        tool=card.tool,
        minutes=duration_text(card.minutes) if card.minutes else "",
        people=card.crew,
        torque=_figure(words, units, joint, card.torque),
        not_yet=words.nip_only.format(when=joint.final_when) if is_nipped and joint else "",
        cautions=tuple(_cautions(words, card, written)),
        first=tuple(_first(words, card, is_drawn=bool(drawn_through))),
        marks=tuple(
            CardMark(words.mark.format(what=each.words), mark(each.how)) for each in card.marks
        ),
        way=drawn_through,
        is_sketched=bool(card.marks or drawn_through),
        then=tuple(_then(words, card)),
        tags=_tags(state, step),
        into_bag=step.action is Action.UNDO and card.has_pieces,
        second=critical and step.action in (Action.TIGHTEN, Action.FINISH, Action.CHECK),
    )


def _figure(words: Words, units: Units, joint: Joint | None, told: str) -> str:
    """The step's figure, the joint's in the units wanted; what else the plan told stays."""
    described = torque_words(joint) if joint else ""
    if joint is None or not described:
        return told
    return told.replace(described, torque_in(words, units, joint))


def _tags(state: State, step: Step) -> tuple[str, ...]:
    """The bags that something comes out of for a step: where it goes back."""
    return tags_of(state, step) if step.action in _GOES_BACK else ()


def _cautions(words: Words, card: JobCard, written: Collection[str]) -> Iterator[str]:
    if card.drops:
        yield card.drops
    if card.prop:
        yield words.prop_first.format(what=card.prop)
    if card.support:
        yield words.add_support.format(what=card.support)
    yield from (Written(each) if each in written else each for each in card.cautions)


def _first(words: Words, card: JobCard, *, is_drawn: bool) -> Iterator[str]:
    """What comes before; not once more a way or a stack that is printed in its own line."""
    said = ("way: ",) * is_drawn + ("in this order: ",) * bool(card.fastenings)
    yield from (each for each in card.first if not each.startswith(said))
    yield from (words.take_out.format(what=each) for each in card.take_out)
    yield from (words.renew.format(what=each) for each in card.renew)
    if card.waits_for:
        yield words.waits_for.format(what=card.waits_for)


def _then(words: Words, card: JobCard) -> Iterator[str]:
    for each in card.close:
        ends = f"{each.ends} × " if each.ends > 1 else ""
        closed = f" ({each.closed_with})" if each.closed_with else ""
        yield words.close.format(what=f"{ends}{each.name}{closed}")
