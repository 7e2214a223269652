"""The pages of the bench's calculators, written from the calculators themselves.

Formula, symbols, source, limits, and an example worked out while the page is written;
`scripts.docs_reference` writes them with the other reference pages.
"""

from collections.abc import Iterable, Iterator

from putback.bench.calculator import Answer, Asked, Calculator, Figure, Step, Table
from putback.workshop.benching.every import EVERY
from putback.workshop.benching.keeping import command_line
from putback.workshop.benching.reading import work_out
from putback.workshop.benching.showing import cell_text, figure_text, label, put_in

WRITTEN = "<!-- Written by scripts/docs_bench.py from the calculators; change it there. -->"
_MOST_ROWS = 12

_HEAD = f"""\
{WRITTEN}

# The bench

Calculators for the work at the bench. Each is a pure function in SI with a formula, a source, and
limits outside which it says so instead of guessing. Values are typed as people write them
(`3/8 in`, `27 lbf·ft`, `190.5 mm`, `M10x1`); answers are metric and imperial. All are guide
values: the maker's figure, local codes and licensed practice win.

- `putback bench` lists them, `putback bench NAME --inputs` says what one asks for.
- `putback bench NAME input=value ...` works it out; `--json` gives it to programs
  ([Answers as JSON](../cli-json.md#bench-of-one-calculator)).
- Several lines are typed with `|` between them, or come from a file: `points=@points.txt`.
- `-o FILE.pdf` prints it, on A4 or `--paper letter`, in black and white: what was typed and how it
  was understood, figures, formulas, tables and drawing, in English or `--language de`.
- `--on "hub nut"` logs the answer as a note on a part or joint, `--reading NAME` one result as a
  reading too, `--called thickness` under the name it has on the part. What was measured is kept as
  it was typed, in millimetres or inches, with its limit.
- The pages under `/bench/` of [the web app](../web.md) show the same. They are worked out on the
  server: without a network they say so.
- `putback.work_out("adaptor", torque="80 Nm", ...)` asks from [a script](../library.md).

| calculator | |
| --- | --- |
"""


def index_page() -> str:
    """The page that lists them."""
    rows = (
        f"| [{each.title}]({each.name}.md) | {_cell(each.words)} |\n" for each in EVERY.values()
    )
    return _HEAD + "".join(rows)


def calculator_page(name: str) -> str:
    """The page of one calculator."""
    found = EVERY[name]
    answer = work_out(found, found.example)
    return "".join(
        (
            f"{WRITTEN}\n\n# {found.title}\n\n{found.words}\n",
            *_asks(found),
            *_example(found, answer),
            *_formulas(answer.steps),
            *_list("Where it holds", answer.limits),
            *_list("Take care", answer.cautions),
            *_list("Sources", answer.sources),
        )
    )


def _asks(found: Calculator) -> Iterator[str]:
    yield "\n## What it asks for\n\n| input | | |\n| --- | --- | --- |\n"
    for each in found.asked:
        yield f"| `{each.name}` | {_cell(label(each.words))} | {_cell(_how(each))} |\n"


def _how(asked: Asked) -> str:
    said = [f"one of {', '.join(asked.choices)}"] if asked.choices else []
    if asked.hint and not asked.choices:
        said.append(asked.hint)
    if asked.bare:
        said.append(f"in {asked.bare} if no unit is typed")
    if asked.default:
        said.append(f"else {asked.default}")
    elif asked.is_optional:
        said.append("may be left out")
    return "; ".join(said)


def _example(found: Calculator, answer: Answer) -> Iterator[str]:
    yield f"\n## An example\n\n```text\n{command_line(found, found.example)}\n```\n"
    yield f"\n**{answer.verdict}**\n\n| | |\n| --- | --- |\n"
    for each in answer.results:
        yield f"| {_cell(label(each.words))} | {_shown(each)} |\n"
    for table in answer.tables:
        yield from _table(table)
    for drawing in answer.drawings:
        yield f"\nDrawn: {drawing.title}. {drawing.words}\n"


def _table(table: Table) -> Iterator[str]:
    yield f"\n{table.title}:\n\n| {' | '.join(_cell(label(each)) for each in table.head)} |\n"
    yield f"|{' --- |' * len(table.head)}\n"
    for row in table.rows[:_MOST_ROWS]:
        yield f"| {' | '.join(_cell(cell_text(cell)) for cell in row)} |\n"
    if len(table.rows) > _MOST_ROWS:
        yield f"\n... and {len(table.rows) - _MOST_ROWS} more.\n"


def _formulas(steps: Iterable[Step]) -> Iterator[str]:
    """Each formula once, with the numbers of the example, its symbols and its source."""
    told: dict[str, Step] = {}
    for step in steps:
        told.setdefault(step.formula, step)
    if told:
        yield "\n## Formulas\n"
    for step in told.values():
        left = step.formula.partition("=")[0].strip()
        symbols = {left: step.gives, **step.symbols}
        yield f"\n```text\n{put_in(step)}\n```\n\n"
        yield "".join(f"- `{symbol}`: {figure.words}\n" for symbol, figure in symbols.items())
        if step.source:
            yield f"- Source: {step.source}\n"


def _list(title: str, lines: Iterable[str]) -> Iterator[str]:
    said = [f"- {label(line)}\n" for line in lines]
    if said:
        yield f"\n## {title}\n\n{''.join(said)}"


def _shown(figure: Figure) -> str:
    return _cell(figure_text(figure))


def _cell(text: str) -> str:
    return " ".join(text.replace("|", "\\|").split())


PAGES = {"bench/README.md": index_page} | {
    f"bench/{name}.md": (lambda name=name: calculator_page(name)) for name in EVERY
}
