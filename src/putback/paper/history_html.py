"""A history file as one page of HTML that needs nothing else: photos inside, nothing fetched."""

from base64 import b64encode
from collections import defaultdict
from collections.abc import Callable, Iterator
from html import escape
from pathlib import Path

from putback.paper.history import Block, Chapter, History, Photo
from putback.paper.typeset import respelled
from putback.progress import NoProgress, Progress

_STYLE = """
:root{--paper:#fbfaf5;--ink:#14191a;--soft:#4a524d;--rule:#8d8a7e;--act:#0e5a73;--found:#f3e6b3}
@media(prefers-color-scheme:dark){:root{--paper:#14140f;--ink:#ece7d8;--soft:#b8b3a2;
--rule:#6b675c;--act:#7cc3dc;--found:#3d3616}}
*{box-sizing:border-box}
body{margin:0 auto;max-width:64rem;padding:1.5rem 1rem 5rem;background:var(--paper);
color:var(--ink);font:1rem/1.5 system-ui,sans-serif;overflow-wrap:anywhere}
h1{font-size:2.2rem;line-height:1.15;border-bottom:3px solid;padding-bottom:.5rem}
h2{font-size:1.5rem;border-bottom:1px solid var(--rule);margin-top:3rem}
h3{font-size:1.1rem;margin-top:2rem}
h3::first-letter,dt::first-letter,th::first-letter,p::first-letter{text-transform:uppercase}
a{color:var(--act)}
.soft,figcaption,th{color:var(--soft);font-size:.875rem;font-weight:400}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.25rem 1.5rem}
dt{color:var(--soft)}dd{margin:0}
nav ul{list-style:none;padding:0}nav a{display:inline-block;padding:.6rem 0}
table{width:100%;table-layout:fixed;border-collapse:collapse}
th,td{text-align:start;vertical-align:top;padding:.4rem .5rem;border-bottom:1px solid var(--rule)}
:target{background:var(--found)}section:target{background:none}
figure{margin:0}img{max-width:100%;height:auto;max-height:80vh}
.photos{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(20rem,100%),1fr));
gap:1.25rem;margin-top:1rem}
.index{columns:20rem;list-style:none;padding:0}.index li{break-inside:avoid}
.index a{padding:0 .3rem}
.up{position:fixed;right:0;bottom:0;padding:.9rem 1.2rem;background:var(--ink);
color:var(--paper);text-decoration:none}
@media(max-width:40rem){thead{position:absolute;clip-path:inset(50%)}
table,tbody,tr,td{display:block}td{border:0;padding:.1rem 0}tr{border-bottom:1px solid var(--rule);
padding:.6rem 0}td::before{content:attr(data-of) ": ";color:var(--soft);font-size:.875rem}
td[data-of=""]::before{content:none}
.told tr{display:grid;grid-template-columns:1fr max-content;column-gap:1rem}
.told td::before{content:none}.told td:nth-child(2){grid-row:2;grid-column:1/3}
.told td:nth-child(odd){color:var(--soft);font-size:.875rem}
.index a{display:inline-block;min-width:2.75rem;padding:.6rem 0;text-align:center}}
@media print{h2{break-before:page}figure,tr{break-inside:avoid}.up{display:none}}
"""


def write_history_html(
    history: History,
    pictures: Path,
    target: Path,
    progress: Progress = NoProgress(),
    respell: Callable[[str], str] = str,
) -> None:
    """Write a history file as HTML; the same chapters, rows and photos as the PDF's.

    Parameters
    ----------
    pictures : Path
        The folder of the photos; one at a time is read.
    target : Path
        The file to write.
    respell : callable, optional
        What is done to all that is written.

    Raises
    ------
    Stopped
        If the person who waits wants it to end.
    """
    with target.open("w", encoding="utf-8") as page:
        for done, piece in enumerate(_pieces(respelled(history, respell), pictures)):
            progress.step(done, None, "writing the page")
            page.write(piece)


def _pieces(history: History, pictures: Path) -> Iterator[str]:
    words = history.words
    title = f"{words.title} · {history.vehicle}"
    yield (
        f'<!DOCTYPE html>\n<html lang="{escape(history.language)}"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head><body>\n"
        f'<header><p class="soft">{escape(words.title)}</p>'
        f'<h1 dir="auto">{escape(history.vehicle)}</h1>'
    )
    if history.cover:
        yield _figure(history.cover, pictures)
    facts = "".join(
        f'<dt>{escape(name)}</dt><dd dir="auto">{escape(said)}</dd>'
        for name, said in history.facts
    )
    yield f"<dl>{facts}</dl>{_paragraphs((*history.lead, words.as_of.format(day=history.day)))}"
    chapters = "".join(
        f'<li><a href="#c{at}">{escape(each.title)}</a></li>'
        for at, each in enumerate(history.chapters)
    )
    yield (
        f'</header>\n<nav id="contents"><h2>{escape(words.contents)}</h2><ul>{chapters}'
        f'<li><a href="#index">{escape(words.index)}</a></li></ul></nav>\n<main>\n'
    )
    places: defaultdict[str, list[str]] = defaultdict(list)
    for at, chapter in enumerate(history.chapters):
        yield from _chapter(at, chapter, pictures, places)
    listed = "".join(
        f"<li><bdi>{escape(term)}</bdi> "
        + " ".join(f'<a href="#{to}">{number}</a>' for number, to in enumerate(places[term], 1))
        + "</li>"
        for term in history.terms()
    )
    yield (
        f'<section id="index"><h2>{escape(words.index)}</h2><ul class="index">{listed}</ul>'
        f'</section>\n</main><a class="up" href="#contents">{escape(words.contents)}</a>'
        "</body></html>\n"
    )


def _chapter(
    at: int, chapter: Chapter, pictures: Path, places: defaultdict[str, list[str]]
) -> Iterator[str]:
    yield f'<section id="c{at}"><h2>{escape(chapter.title)}</h2>{_paragraphs(chapter.notes)}\n'
    for number, block in enumerate(chapter.blocks):
        if block.heading:
            yield f'<h3 dir="auto">{escape(block.heading)}</h3>\n'
        if block.rows:
            yield _table(f"c{at}b{number}", block, places)
        if block.photos:
            yield '<div class="photos">'
            for photo in block.photos:
                yield _figure(photo, pictures)
            yield "</div>\n"
    yield "</section>\n"


def _table(name: str, block: Block, places: defaultdict[str, list[str]]) -> str:
    heads = "".join(f'<th scope="col">{escape(each)}</th>' for each in block.columns)
    whole = sum(block.shares)
    widths = "".join(f'<col style="width:{each / whole:.1%}">' for each in block.shares)
    rows = []
    for at, row in enumerate(block.rows):
        anchor = f"{name}r{at}"
        for term in row.terms:
            places[term].append(anchor)
        cells = "".join(
            f'<td dir="auto" data-of="{escape(of)}">{escape(said)}</td>'
            for of, said in zip(block.columns, row.cells, strict=True)
        )
        rows.append(f'<tr id="{anchor}">{cells}</tr>\n')
    kind = ' class="told"' if block.is_log else ""
    return (
        f"<table{kind}><colgroup>{widths}</colgroup><thead><tr>{heads}</tr></thead>"
        f"<tbody>{''.join(rows)}</tbody></table>\n"
    )


def _figure(photo: Photo, pictures: Path) -> str:
    inside = b64encode((pictures / photo.file).read_bytes()).decode()
    said = escape(photo.caption)
    return (
        f'<figure><img loading="lazy" src="data:image/jpeg;base64,{inside}" alt="{said}">'
        f'<figcaption dir="auto">{said}</figcaption></figure>'
    )


def _paragraphs(said: tuple[str, ...]) -> str:
    return "".join(f'<p dir="auto">{escape(each)}</p>' for each in said)
