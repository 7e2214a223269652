"""Every word of a history file that is not in its logbook; what was logged stays as said."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HistoryWords:
    """The words of a history file; ``{...}`` stands for what is put in."""

    title: str = "History file"
    contents: str = "Contents"
    index: str = "Index"
    photo: str = "Photo {n}"
    page_of: str = "page {n} of {n_of}"
    as_of: str = "as the logbook stood on {day}"
    honest: str = (
        "All of this is from the logbook of the vehicle. What nobody logged is not here, and what "
        "is not known is said to be unknown. Who did it is as the logbook says, not proven."
    )
    no_font: str = (
        "This copy is an ordinary PDF, not PDF/A: this machine has no font for {letters}. An "
        "empty box stands for each."
    )
    refused: str = "This copy is an ordinary PDF; PDF/A was refused: {why}"
    photos_unread: str = "Photos left out, as they could not be read: {n}."
    photos_away: str = "Photos left out, as they are not on this machine: {n}."
    unknown: str = "not known"
    not_said: str = "not recorded"
    nothing: str = "The logbook says nothing of this."

    about: str = "The vehicle"
    facts: tuple[str, ...] = (
        "maker",
        "model",
        "year",
        "body",
        "entries",
        "first entry",
        "last entry",
    )

    timeline: str = "Timeline"
    when: str = "when"
    what: str = "what"
    who: str = "who"
    no_day: str = "Day not known"
    unread: str = "{kind} (not understood by this version)"
    timeline_note: str = (
        "{n} entries that stand, in the order of the logbook; {described} that only describe "
        "the vehicle, and {struck} struck out, are not listed."
    )

    before_after: str = "Before and after"
    before: str = "before"
    after: str = "afterwards"
    before_after_note: str = (
        "Photos from before a part came off beside the latest from after it. A part with only "
        "one of the two is in the timeline."
    )

    found: str = "Found and repaired"
    where: str = "part or joint"
    was_found: str = "what was found"
    decided: str = "decided"
    done: str = "done to it"
    undecided: str = "no decision recorded"

    measurements: str = "Measurements"
    measured: str = "measured"
    limits: str = "limits"
    verdict: str = "verdict"
    inside: str = "within"
    outside: str = "OUTSIDE"
    no_limits: str = "no limits recorded"

    originality: str = "Originality"
    as_found: str = "as found"
    correct: str = "correct for its kind"
    numbers: str = "numbers on it"
    now: str = "on the vehicle"
    renewed: str = "a new or remade one"
    its_own: str = "put back, not recorded as renewed"
    untouched: str = "not recorded as off"
    off: str = "off"
    originality_note: str = "Of {n} further parts nothing of this is recorded."

    torque: str = "Torque and checks"
    joint: str = "joint"
    wanted: str = "figure"
    applied: str = "applied, how far"
    made_by: str = "by, when"
    checked: str = "checked by, when"
    second: str = "a second person"
    same_person: str = "the same person"
    not_right: str = "NOT right"
    critical: str = "CRITICAL"
    torque_note: str = (
        "Joints with a figure or marked critical. A figure holds only in its condition; the "
        "maker's wins."
    )

    effort: str = "Hours and money"
    hours: str = "hours"
    hours_of: str = "{hours} person-hours recorded."
    money: str = "money"
    money_left_out: str = "Money is left out of this copy."

    seal: str = "Seal"
    seal_note: str = (
        "The digest below is of the set of all entries of the logbook at this moment, struck "
        "out or not. Whoever has the bundle can compute it anew: the SHA-256 of the text COUNT "
        "SUM, where SUM is the sum of the digests of all entries in hexadecimal; the digest of an "
        "entry is the SHA-256 of its JSON with keys sorted and no white space, UTF-8. The same "
        "digest: not one entry was added, changed or taken away since."
    )
    entries: str = "entries"
    digest: str = "digest"
    sealed: str = "sealed in the logbook"


HISTORY_WORDS = HistoryWords()
