"""What a bundle says about itself to somebody who has nothing but a text editor."""

from putback.logbook.bundle.manifest import Manifest
from putback.logbook.entries.registry import KINDS

_TEXT = """\
THE LOGBOOK OF A VEHICLE: {name}

This archive holds the logbook of a vehicle that was taken apart to be restored: what it is made
of, what was undone, by whom and when, where every part and fastener went, and how it went back
together. It was written by a program called Putback, which you do not need in order to read it.
Everything is plain text in UTF-8, and photos in their usual formats.

  made at           {made_at}
  logbook           {logbook}
  entries           {entries} in logbook.jsonl, {garage_entries} in garage.jsonl
  photos, sounds    {photos} in photos/, {missing} named but not here
  digest            {digest}
{remarks}
THE FILES

  logbook.jsonl   one entry a line: one thing that somebody says happened
  garage.jsonl    entries on what several vehicles share: places, people, containers
  photos/         photos and spoken notes; a file is named by the SHA-256 of its bytes
  manifest.json   the SHA-256 of each file, so that you can see whether anything was changed

HOW TO READ IT

Open logbook.jsonl in any editor, or in a program that reads JSON (RFC 8259). Each line is one
object. The order of the lines means nothing; see ORDER below. A line that begins with a quotation
mark is a JSON string; what it says is the entry as it was received, with line breaks in it.

  id, act         a number of its own (UUID); entries made by one tap share their act
  kind, version   what kind of thing happened (below), and the version of its shape
  happened_at     when: an instant, a day (2031-05-02), a month (2031-05), or empty for unknown
  after           the entry behind which a late note belongs, or null
  logged_at       when it was written down
  clock           milliseconds since 1970, and a counter: orders entries of phones that met
  device, who     on what, and by whom; people's names are in entries of the kind "person named"
  logbook         of which vehicle; "garage" for all
  body            what happened; what is left out is not known, or as usual

Things are named by kind and identity: "part:fan", "joint:fan-hub", "opening:inlet", "fluid:oil",
"job:survey", "place:barn", "fit:dolly". "tag:3CAH" is a bag, box or part with that code on it.
Lengths are in metres, masses in kg, torques in N·m, times in minutes, volumes in cubic metres.

A wrong entry was never changed. A later one of the kind "struck" names it (or its act): read on
as if the struck one were not there. A "struck" entry may be struck out itself; then what it struck
counts again. Where such entries strike each other in a ring, none of them strikes anything.

ORDER

Sort by happened_at (a day or a month stands at its end, but never after logged_at; unknown stands
at logged_at), then clock, then id. An entry with "after" stands directly behind the one it names.
Checks, decisions and strikes stand behind what they speak of.

WHAT THE VEHICLE IS MADE OF

Entries of the kind "described" give fields of one record of a table: "parts", "joints", "runs" and
so on. Where several give the same field, the last one counts. A joint holds two parts or more; its
"fixings" list the holes and what is in each, from the head on.

WHERE THE HARDWARE IS

"joint undone" is a count: so many of so many fixings are out now, and "went" says whither (a tag,
back in its own hole, on the part, scrap). "hardware moved" and "counted" tell of loose pieces.
"joint made" puts them back.

KINDS OF ENTRIES

{kinds}

An entry of another kind was made by a later version, and was kept as it was.
"""


def readme(manifest: Manifest) -> str:
    """Write the README of a bundle, in plain English."""
    remarks = ""
    if manifest.since:
        remarks += f"\nThis is a part only: what came since the bundle {manifest.since}.\n"
    if manifest.left_out:
        remarks += f"\n{manifest.left_out} entries on money or people's names were left out.\n"
    width = max(map(len, KINDS)) + 2
    return _TEXT.format(
        name=manifest.name or manifest.logbook,
        made_at=manifest.made_at or "not said",
        logbook=manifest.logbook,
        entries=manifest.entries,
        garage_entries=manifest.garage_entries,
        photos=sum(name.startswith("photos/") for name in manifest.files),
        missing=len(manifest.photos_missing),
        digest=manifest.digest,
        remarks=remarks,
        kinds="\n".join(
            f"  {kind:<{width}}{_first_line(body.__doc__)}" for kind, body in sorted(KINDS.items())
        ),
    )


def _first_line(docstring: str | None) -> str:
    return (docstring or "").strip().partition("\n")[0].replace("``", "")
