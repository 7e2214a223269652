"""Describing by a form: a draft that is checked in place.

A draft is read field by field. What cannot be read is a fault beside its field; what can be read
and contradicts the rest of the description is told beside its field as well, and may be said all
the same, since what is known so far must be kept.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from putback.errors import InputError
from putback.logbook.entries.describing import Described
from putback.logbook.state import State
from putback.vehicle.check import Severity, check
from putback.vehicle.check.references import KINDS
from putback.vehicle.codec import RecordFaults, from_plain, key_field, to_plain
from putback.vehicle.table_import import UNSORTED
from putback.workshop.describing.answers import in_words, read_answer, write_answer
from putback.workshop.describing.draft_forms import Form, form_of_table
from putback.workshop.describing.records import records_of

Texts = Mapping[str, str]
"""What stands in each field of a form."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A form that was read."""

    table: str
    identity: str
    fields: Mapping[str, Any]
    """What is changed, as plain values; ``None`` for what goes back to nothing."""
    faults: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """What cannot be read, by field; empty name for the whole."""
    contradictions: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    doubts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    read_as: Mapping[str, str] = field(default_factory=dict)
    """How quantities were understood."""
    before: tuple[Described, ...] = ()
    """What must be described with it: a zone that is new."""

    @property
    def bodies(self) -> tuple[Described, ...]:
        """The entries that say it; none where nothing was changed."""
        if not self.fields:
            return ()
        said = Described(table=self.table, id=self.identity, fields=dict(self.fields))
        return (*self.before, said)


def texts_of(state: State, table: str, identity: str | None) -> dict[str, str]:
    """Write what is described of a record as the texts of its form."""
    identity = state.vehicle.about.id if form_of_table(table).is_one else identity
    plain = _plain_of(state, table, identity)
    return {
        each.name: write_answer(each.answer, _inside(plain, each.name), state)
        for each in form_of_table(table).blanks
    }


def read_draft(
    state: State,
    table: str,
    identity: str | None,
    texts: Texts,
    shown: Texts | None = None,
) -> Draft:
    """Read a form, and check what it says against all that is described.

    Parameters
    ----------
    identity : str, optional
        Of the record that is changed; ``None`` for a new one, which gets one of its name.
    texts
        What was typed, by field; a field that is missing is left as it is.
    shown : Texts, optional
        What stood in the fields when somebody began to type. A field that they left so says
        nothing, whatever was described since; one that was described otherwise since is a fault,
        as nobody has seen that yet.
    """
    form = form_of_table(table)
    identity = state.vehicle.about.id if form.is_one else identity
    was = _plain_of(state, table, identity)
    written = texts_of(state, table, identity)
    if is_gone(state, table, identity, shown):
        return Draft(table, identity or "", {}, {"": (_GONE,)})
    faults: dict[str, list[str]] = {}
    read_as: dict[str, str] = {}
    plain = dict(was)
    changed: set[str] = set()
    for blank in form.blanks:
        if _says_nothing(blank.name, texts, written, shown):
            if blank.required and not written[blank.name]:
                faults[blank.name] = ["is needed"]
            continue
        text = texts[blank.name]
        if blank.required and not text.strip():
            faults[blank.name] = ["is needed"]
            continue
        if shown is not None and not _is_same(shown.get(blank.name, ""), written[blank.name]):
            faults[blank.name] = [_since(written[blank.name])]
            continue
        try:
            value = read_answer(blank.answer, text, state, _inside(was, blank.name))
        except InputError as error:
            faults[blank.name] = [str(error)]
            continue
        if words := in_words(blank.answer, value):
            read_as[blank.name] = words
        _put(plain, blank.name, value)
        changed.add(blank.name.partition(".")[0])
    made = identity or _identity(state, table, plain, texts)
    before = tuple(_new_zone(state, table, plain, changed))
    key = key_field(table)
    fields = {name: plain.get(name) for name in changed if name != key}
    draft = Draft(table, made, fields, _closed(faults), read_as=read_as, before=before)
    return draft if faults else _checked(state, form, draft, {**plain, key: made})


def is_gone(state: State, table: str, identity: str | None, shown: Texts | None) -> bool:
    """Whether somebody took back what a form showed."""
    was_there = shown is not None and any(shown.values())
    is_known = form_of_table(table).is_one or identity in records_of(state, table)
    return was_there and identity is not None and not is_known


def kept_up(texts: Texts, shown: Texts, written: Texts) -> dict[str, str]:
    """Give the texts of a form with what was described since in the fields that nobody changed."""
    return {
        name: written.get(name, text) if _is_same(text, shown.get(name, "")) else text
        for name, text in texts.items()
    }


_GONE = "this was taken back since the form was opened; save it again to describe it anew"


def _since(written: str) -> str:
    """Say what somebody else described in a field meanwhile."""
    now = f"this is described as “{written}”" if written else "what stood here was taken out"
    return f"{now} since the form was opened; save it again to say it your way"


def _says_nothing(name: str, texts: Texts, written: Texts, shown: Texts | None) -> bool:
    """Whether a field stands as it is described, or as somebody found it."""
    text = texts.get(name)
    if text is None or _is_same(text, written[name]):
        return True
    return shown is not None and _is_same(text, shown.get(name, ""))


def _is_same(text: str, other: str) -> bool:
    return _tidy(text) == _tidy(other)


def _checked(state: State, form: Form, draft: Draft, plain: Mapping[str, Any]) -> Draft:
    """Put the record into the description and see what the checks say of it."""
    said = {name: value for name, value in plain.items() if value is not None}
    try:
        record = from_plain(draft.table, said)
    except RecordFaults as error:
        wrong: dict[str, list[str]] = {}
        for each in error.faults:
            wrong.setdefault(_blank_of(form, each.where), []).append(each.said())
        return Draft(draft.table, draft.identity, draft.fields, _closed(wrong))
    zones: dict[Any, Any] = dict(state.vehicle.zones)
    for zone in draft.before:
        zones[zone.id] = from_plain("zones", {"id": zone.id, **zone.fields})
    tables: dict[str, Mapping[Any, Any]] = {"zones": zones}
    if draft.table == "about":
        vehicle = replace(state.vehicle, about=record)
    else:
        tables[draft.table] = {**records_of(state, draft.table), draft.identity: record}
        vehicle = state.vehicle.with_records(**tables)
    ref = f"{KINDS[draft.table]}:{draft.identity}"
    known = {str(each) for each in check(state.vehicle)}
    sorts: dict[Severity, dict[str, list[str]]] = {each: {} for each in Severity}
    for fault in check(vehicle):
        is_own = fault.ref == ref
        if is_own or (fault.is_error and str(fault) not in known):
            at = _FIELD_OF_RULE.get(fault.rule, "") if is_own else ""
            at = at if any(each.name == at for each in form.blanks) else ""
            sorts[fault.severity].setdefault(at, []).append(f"{fault.message}; {fault.mend}")
    return Draft(
        draft.table,
        draft.identity,
        draft.fields,
        contradictions=_closed(sorts[Severity.ERROR]),
        doubts=_closed(sorts[Severity.DOUBT]),
        read_as=draft.read_as,
        before=draft.before,
    )


def _plain_of(state: State, table: str, identity: str | None) -> dict[str, Any]:
    record = records_of(state, table).get(identity) if identity is not None else None
    return to_plain(table, record) if record is not None else {}


def _inside(plain: Mapping[str, Any], name: str) -> Any:
    outer, _, inner = name.partition(".")
    value = plain.get(outer)
    return (value or {}).get(inner) if inner else value


def _put(plain: dict[str, Any], name: str, value: Any) -> None:
    outer, _, inner = name.partition(".")
    if not inner:
        plain[outer] = value
        return
    below = {**(plain.get(outer) or {}), inner: value}
    plain[outer] = {key: each for key, each in below.items() if each is not None} or None


def _tidy(text: str) -> str:
    return "\n".join(line.strip() for line in text.splitlines() if line.strip())


def _closed(gathered: Mapping[str, list[str]]) -> dict[str, tuple[str, ...]]:
    return {name: tuple(each) for name, each in gathered.items()}


def _blank_of(form: Form, where: str) -> str:
    """Name the field of a form in which a fault of the record stands."""
    outer = re.split(r"[.\[]", where)[0]
    names = [each.name for each in form.blanks]
    return where if where in names else outer if outer in names else ""


def _identity(state: State, table: str, plain: Mapping[str, Any], texts: Texts) -> str:
    """Make an identity for a new record, of its name; a run has that of its part."""
    if table == "runs":
        return str(plain.get("part") or "")
    kind = texts.get("kind") if table == "temporary_supports" else ""
    named = texts.get("name") or texts.get("why") or kind or KINDS[table]
    made = re.sub(r"[^a-z0-9]+", "-", f"{named} {texts.get('side', '')}".casefold()).strip("-")[
        :40
    ]
    taken = {*records_of(state, table), *_spoken_of(state, table)}
    made = made or KINDS[table].replace(" ", "-")
    numbered = (f"{made}-{number}" for number in range(2, len(taken) + 3))
    return next(each for each in (made, *numbered) if each not in taken)


def _spoken_of(state: State, table: str) -> Iterator[str]:
    spoken: Mapping[str, Any] = {
        "parts": state.parts,
        "joints": state.joints,
        "openings": state.openings,
    }
    yield from spoken.get(table, ())


def _new_zone(
    state: State, table: str, plain: dict[str, Any], changed: set[str]
) -> Iterator[Described]:
    """Describe a zone that this is the first in; a part without one is not sorted yet."""
    zone = plain.get("zone")
    if not zone and table == "parts":
        plain["zone"] = UNSORTED.id
        changed.add("zone")
        if UNSORTED.id not in state.vehicle.zones:
            yield Described(table="zones", id=UNSORTED.id, fields={"name": UNSORTED.name})
    elif zone and zone not in state.vehicle.zones:
        made = re.sub(r"[^a-z0-9]+", "-", zone.casefold()).strip("-")[:40] or "zone"
        numbered = (f"{made}-{number}" for number in range(2, len(state.vehicle.zones) + 3))
        plain["zone"] = next(each for each in (made, *numbered) if each not in state.vehicle.zones)
        yield Described(table="zones", id=plain["zone"], fields={"name": zone})


_FIELD_OF_RULE = {
    "impossible_number": "mass_kg",
    "same_name_and_side": "name",
    "other_side": "side",
    "joins_too_few": "parts",
    "same_part_twice": "parts",
    "impossible_count": "fixings",
    "captive_in_the_hand": "fixings",
    "impossible_torque": "tightening.torque_nm",
    "torque_not_recorded": "tightening.torque_nm",
    "danger_without_a_word": "when_undone.prop_first",
    "by_position_of_nothing": "final_when",
    "no_ends": "ends",
    "end_of_another": "ends",
    "no_way_out": "comes_out",
    "opened_by_another": "joints",
    "carried_by_nothing": "supports",
    "impossible_support": "supports",
    "nothing_left_to_stand_on": "supports",
    "out_of_reach": "standings",
    "never_lifted": "standings",
    "in_its_own_way": "any_of",
    "before_itself": "then",
    "no_assembly": "parts",
    "off_and_on": "on",
    "asks_for_nothing": "off",
    "kept_in_the_way": "on",
    "kept_in_the_air": "on",
    "after_itself": "after",
    "job_of_the_rebuild": "jobs",
    "impossible_factor": "factor",
    "job_on_nothing": "joints",
    "drained_otherwise": "drained_by",
    "impossible_change": "change_minutes",
    "shims": "shims",
}
"""In which field a person mends what a rule finds."""
