"""Every word of a history file that is not in its logbook; what was logged stays as said."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HistoryWords:
    """The words of one language; ``{...}`` stands for what is put in."""

    title: str = "History file"
    contents: str = "Contents"
    index: str = "Index"
    photo: str = "Photo {number}"
    page_of: str = "page {page} of {pages}"
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
    photos_unread: str = "Photos left out, as they could not be read: {count}."
    photos_away: str = "Photos left out, as they are not on this machine: {count}."
    unknown: str = "not known"
    not_said: str = "not recorded"
    nothing: str = "The logbook says nothing of this."

    about: str = "The vehicle"
    facts: tuple[str, ...] = ("make", "model", "year", "body", "entries", "from", "to")

    timeline: str = "Timeline"
    when: str = "when"
    what: str = "what"
    who: str = "who"
    no_day: str = "Day not known"
    unread: str = "{kind} (not understood by this version)"
    timeline_note: str = (
        "{count} entries that stand, in the order of the logbook; {described} that only describe "
        "the vehicle, and {struck} struck out, are not listed."
    )

    before_after: str = "Before and after"
    before: str = "before"
    after: str = "after"
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
    its_own: str = "put back; not recorded as renewed"
    untouched: str = "not recorded as off"
    off: str = "off"
    originality_note: str = "Of {count} further parts nothing of this is recorded."

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


HISTORY_ENGLISH = HistoryWords()

HISTORY_GERMAN = HistoryWords(
    title="Geschichte des Fahrzeugs",
    contents="Inhalt",
    index="Verzeichnis",
    photo="Bild {number}",
    page_of="Seite {page} von {pages}",
    as_of="Stand des Werkbuchs am {day}",
    honest=(
        "Alles hier stammt aus dem Werkbuch des Fahrzeugs. Was niemand eintrug, fehlt; was "
        "unbekannt ist, heißt unbekannt. Wer es tat, steht hier nach dem Werkbuch, unbewiesen."
    ),
    no_font=(
        "Dies ist ein gewöhnliches PDF, kein PDF/A: für {letters} hat dieser Rechner keine "
        "Schrift. Ein leeres Kästchen steht dafür."
    ),
    refused="Dies ist ein gewöhnliches PDF; PDF/A wurde verweigert: {why}",
    photos_unread="Bilder, die nicht zu lesen waren und hier fehlen: {count}.",
    photos_away="Bilder, die nicht auf diesem Rechner liegen und hier fehlen: {count}.",
    unknown="unbekannt",
    not_said="nicht eingetragen",
    nothing="Davon sagt das Werkbuch nichts.",
    about="Das Fahrzeug",
    facts=("Hersteller", "Modell", "Baujahr", "Aufbau", "Einträge", "von", "bis"),
    timeline="Verlauf",
    when="wann",
    what="was",
    who="wer",
    no_day="Tag unbekannt",
    unread="{kind} (dieser Fassung unverständlich)",
    timeline_note=(
        "{count} gültige Einträge in der Folge des Werkbuchs; {described}, die nur das Fahrzeug "
        "beschreiben, und {struck} gestrichene sind nicht aufgeführt."
    ),
    before_after="Vorher und nachher",
    before="vorher",
    after="nachher",
    before_after_note=(
        "Bilder von vor dem Ausbau neben dem letzten danach. Ein Teil mit nur einem von beiden "
        "steht im Verlauf."
    ),
    found="Befunde und Reparaturen",
    where="Teil oder Verbindung",
    was_found="was gefunden wurde",
    decided="entschieden",
    done="daran getan",
    undecided="keine Entscheidung eingetragen",
    measurements="Messungen",
    measured="gemessen",
    limits="Grenzen",
    verdict="Urteil",
    inside="innerhalb",
    outside="AUSSERHALB",
    no_limits="keine Grenzen eingetragen",
    originality="Originalität",
    as_found="wie gefunden",
    correct="richtig für die Bauart",
    numbers="Nummern daran",
    now="am Fahrzeug",
    renewed="ein neues oder nachgefertigtes",
    its_own="wieder eingebaut; nicht als erneuert eingetragen",
    untouched="nicht als ausgebaut eingetragen",
    off="ausgebaut",
    originality_note="Von {count} weiteren Teilen ist nichts davon eingetragen.",
    torque="Drehmomente und Prüfungen",
    joint="Verbindung",
    wanted="Vorgabe",
    applied="angewandt, wie weit",
    made_by="von, wann",
    checked="geprüft von, wann",
    second="eine zweite Person",
    same_person="dieselbe Person",
    not_right="NICHT in Ordnung",
    critical="KRITISCH",
    torque_note=(
        "Verbindungen mit Vorgabe oder kritische. Eine Vorgabe gilt nur in ihrem Zustand; die des "
        "Herstellers geht vor."
    ),
    effort="Stunden und Geld",
    hours="Stunden",
    hours_of="{hours} Personenstunden eingetragen.",
    money="Geld",
    money_left_out="Geld ist aus dieser Ausfertigung weggelassen.",
    seal="Siegel",
    seal_note=(
        "Die Prüfsumme unten ist die der Menge aller Einträge des Werkbuchs zu diesem Zeitpunkt, "
        "auch der gestrichenen. Wer das Bündel hat, kann sie nachrechnen: SHA-256 des Textes "
        "COUNT SUM, wobei SUM die Summe der Prüfsummen aller Einträge in Hexadezimal ist; die "
        "eines Eintrags ist SHA-256 seines JSON, Schlüssel sortiert, ohne Leerraum, in UTF-8. "
        "Gleich heißt: kein Eintrag kam seither hinzu, wurde geändert oder entfernt."
    ),
    entries="Einträge",
    digest="Prüfsumme",
    sealed="im Werkbuch gesiegelt",
)


def history_words(language: str) -> HistoryWords:
    """Give the words of a language; the English ones where there are no others."""
    return HISTORY_GERMAN if language == "de" else HISTORY_ENGLISH
