"""What of our modules the tests run, told by marks that are put into them as they are loaded.

coverage.py has Python call it at every line, which makes tight loops five times as slow. A mark
costs as much as one assignment, so that all that every test runs is counted, and no clock decides
how long. What was marked is given to coverage.py, which knows what there is to be run, and reports
of it as it would of its own.

A mark says of some lines that they ran, and how the tests before them came out. It stands before
the last of the lines of which it speaks: those before that one are over then, and it begins. So
nothing is said to have run that did not. Unsaid is what ran before an error broke off lines that
stand in a row, and how a block was left that ends by ``finally``: it makes the figure smaller.
"""

import ast
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from pathlib import Path
from types import CodeType, ModuleType
from typing import NamedTuple

from coverage import Coverage
from coverage.parser import AstArcAnalyzer, walk_statement_nodes

UNMEASURED = ("putback.cli", "putback.web")
"""What `omit` leaves out of the figure in pyproject.toml."""

COMPILED = frozenset({"compiled", "compiled_barely", "inlined"})
"""Decorators of functions that bear no marks, as Numba reads them (putback.solvers.compiled).

Tests that run their Python are marked ``twins``.
"""

MARKS = "__marks__"
"""What a module calls the list of its marks."""

_Function = ast.FunctionDef | ast.AsyncFunctionDef
_Loop = ast.For | ast.AsyncFor | ast.While


class CameOut(NamedTuple):
    """How a test came out that decides which line is next: of a condition, a loop, a pattern."""

    line: int
    within: int
    """The line that is next where it holds."""
    held: bool


@dataclass(frozen=True)
class Said:
    """What a mark says: some lines ran, and some tests came out so."""

    lines: tuple[int, ...] = ()
    tests: tuple[CameOut, ...] = ()


@dataclass
class _Marking:
    """Puts marks into the statements of a module."""

    said: list[Said] = field(default_factory=list)

    def mark(self, at: int, lines: Iterable[int], tests: Iterable[CameOut] = ()) -> ast.stmt:
        """A statement by which a mark is set, on a line that is there."""
        number = len(self.said)
        self.said.append(Said(tuple(lines), tuple(tests)))
        where = {"lineno": at, "end_lineno": at, "col_offset": 0, "end_col_offset": 0}
        marks = ast.Name(MARKS, ast.Load(), **where)
        place = ast.Subscript(marks, ast.Constant(number, **where), ast.Store(), **where)
        return ast.Assign([place], ast.Constant(1, **where), **where)

    def block(
        self, body: list[ast.stmt], lines: Iterable[int] = (), tests: Sequence[CameOut] = ()
    ) -> list[ast.stmt]:
        """Mark the statements of a block; whoever comes into it has run these lines and tests."""
        marked, ran = [], list(lines)
        for each in body:
            if not marked and _must_be_first(each):
                marked.append(each)
                continue
            ran += _lines_of(each)
            if tests or each is body[-1] or not _goes_on(each):
                marked.append(self.mark(each.lineno, ran, tests))
                ran, tests = [], ()
            self.within(each)
            marked.append(each)
        return marked

    def within(self, statement: ast.stmt) -> None:
        """Mark what stands in a statement."""
        match statement:
            case ast.FunctionDef() | ast.AsyncFunctionDef():
                if not any(_is_compiled(each) for each in statement.decorator_list):
                    statement.body = self.block(statement.body)
            case ast.ClassDef() | ast.With() | ast.AsyncWith():
                statement.body = self.block(statement.body)
            case ast.If() | ast.For() | ast.AsyncFor() | ast.While():
                self.within_test(statement)
            case ast.Try() | ast.TryStar():
                self.within_try(statement)
            case ast.Match():
                self.within_match(statement)

    def within_test(self, statement: ast.If | _Loop) -> None:
        held = CameOut(statement.lineno, _first(statement.body), held=True)
        other = held._replace(held=False)
        statement.body = self.block(statement.body, tests=(held,))
        if statement.orelse:
            statement.orelse = self.block(statement.orelse, tests=(other,))
        else:
            statement.orelse = [self.mark(statement.lineno, (), (other,))]

    def within_try(self, statement: ast.Try | ast.TryStar) -> None:
        statement.body = self.block(statement.body)
        ways = [(each.lineno, each.body) for each in statement.handlers]
        for each, (lines, tests) in zip(statement.handlers, _one_after_another(ways), strict=True):
            each.body = self.block(each.body, lines, tests)
        statement.orelse = self.block(statement.orelse)
        statement.finalbody = self.block(statement.finalbody)

    def within_match(self, statement: ast.Match) -> None:
        ways = [(each.pattern.lineno, each.body) for each in statement.cases]
        *_, (all_lines, tests) = found = list(_one_after_another(ways))
        for each, (lines, came_out) in zip(statement.cases, found, strict=True):
            each.body = self.block(each.body, lines, came_out)
        last = statement.cases[-1]
        if last.guard is not None or not _takes_all(last.pattern):
            none = [each._replace(held=False) for each in tests]
            mark = self.mark(statement.lineno, all_lines, none)
            anything = ast.copy_location(ast.MatchAs(), mark)
            statement.cases.append(ast.match_case(anything, None, [mark]))


def _must_be_first(statement: ast.stmt) -> bool:
    """Whether it is what is said of a function or module, or of the language it is written in."""
    if isinstance(statement, ast.ImportFrom):
        return statement.module == "__future__"
    return (
        isinstance(statement, ast.Expr)
        and isinstance(statement.value, ast.Constant)
        and isinstance(statement.value.value, str)
    )


def _lines_of(statement: ast.stmt) -> list[int]:
    """The lines that run when a statement begins."""
    if isinstance(statement, _Function | ast.ClassDef):
        return [*(each.lineno for each in statement.decorator_list), statement.lineno]
    return [statement.lineno]


def _goes_on(statement: ast.stmt) -> bool:
    """Whether what follows a statement runs in the same row: there is nothing within it to run."""
    if isinstance(statement, _Function):
        return True
    return not isinstance(statement, ast.Match) and not hasattr(statement, "body")


def _first(body: list[ast.stmt]) -> int:
    """The line on which a block begins."""
    return _lines_of(body[0])[0]


def _end(statement: ast.stmt) -> int:
    """The last line of a statement before what stands in it."""
    if isinstance(statement, ast.Match):
        return statement.subject.end_lineno or 0
    body = getattr(statement, "body", [])
    return _first(body) - 1 if body else statement.end_lineno or 0


def _one_after_another(
    ways: list[tuple[int, list[ast.stmt]]],
) -> Iterator[tuple[list[int], list[CameOut]]]:
    """Of each pattern or handler, the lines tried until it held, and how they came out."""
    lines: list[int] = []
    others: list[CameOut] = []
    for line, body in ways:
        lines.append(line)
        held = CameOut(line, _first(body), held=True)
        yield [*lines], [*others, held]
        others.append(held._replace(held=False))


def _takes_all(pattern: ast.pattern) -> bool:
    """Whether nothing may follow a pattern: a name, or an alternative that is one."""
    match pattern:
        case ast.MatchAs(pattern=within):
            return within is None or _takes_all(within)
        case ast.MatchOr(patterns=patterns):
            return _takes_all(patterns[-1])
    return False


def _is_compiled(decorator: ast.expr) -> bool:
    return isinstance(decorator, ast.Name) and decorator.id in COMPILED


def marked(source: bytes, path: str) -> tuple[CodeType, list[Said]]:
    """Compile a module with marks, and tell what each of them says."""
    tree = ast.parse(source, path)
    marking = _Marking()
    tree.body = marking.block(tree.body)
    code: CodeType = compile(tree, path, "exec", dont_inherit=True)
    return code, marking.said


def arcs(source: bytes, said: Sequence[Said], marks: Sequence[int]) -> set[tuple[int, int]]:
    """What marks say that ran, as coverage.py counts it: from line to line, or of a line alone."""
    first, ways = _ways(source)
    ran = set()
    for each, is_set in zip(said, marks, strict=True):
        if is_set:
            ran |= {(line, line) for line in each.lines}
            for line, within, held in each.tests:
                inside = first.get(within, within)
                others = ways.get(line, set()) - {inside}
                if held:
                    ran.add((line, inside))
                elif len(others) == 1:
                    ran.add((line, *others))
    return ran


def _ways(source: bytes) -> tuple[dict[int, int], dict[int, set[int]]]:
    """The first line of each statement, by its others, and where coverage.py sees one go on."""
    tree = ast.parse(source)
    first: dict[int, int] = {}
    lines: set[int] = set()
    for node in walk_statement_nodes(tree):
        if isinstance(node, ast.stmt) and not isinstance(node, ast.Global | ast.Nonlocal):
            first |= dict.fromkeys(range(node.lineno + 1, _end(node) + 1), node.lineno)
            lines.update(_lines_of(node))
    found = AstArcAnalyzer("", tree, lines, first)
    found.analyze()
    left = found.with_jump_fixers()
    ways: dict[int, set[int]] = {}
    for way in found.arcs:
        if (line_to := left.get(way, way)) is not None:
            line, to = (first.get(each, each) for each in line_to)
            if line != to:
                ways.setdefault(line, set()).add(to)
    return first, ways


class _Loader(SourceFileLoader):
    """Loads a module with marks in it; what Python keeps of it compiled is without them."""

    def get_code(self, fullname: str) -> CodeType:
        code, self.said = marked(self.get_data(self.path), self.path)
        return code

    def exec_module(self, module: ModuleType) -> None:
        code = self.get_code(module.__name__)
        marks = [0] * len(self.said)
        loaded[self.path] = (self.said, marks)
        setattr(module, MARKS, marks)
        exec(code, module.__dict__)


loaded: dict[str, tuple[list[Said], list[int]]] = {}
"""What the marks of each module say, by its path, and which are set."""


class _Finder(MetaPathFinder):
    """Finds our own modules."""

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if f"{fullname}.".startswith(tuple(f"{each}." for each in UNMEASURED)):
            return None
        if fullname.partition(".")[0] != "putback":
            return None
        spec = PathFinder.find_spec(fullname, path, target)
        if spec is not None and isinstance(spec.loader, SourceFileLoader):
            spec.loader = _Loader(spec.loader.name, spec.loader.path)
        return spec


def marking() -> None:
    """Put marks into our modules from now on, if anything measures."""
    if Coverage.current() is not None:
        sys.meta_path.insert(0, _Finder())


class Measured:
    """The coverage that counts, which looks at nothing by itself."""

    counts: Coverage | None = None
    """It, if anything measures."""

    def look_away(self) -> None:
        """Let nothing be called at every line."""
        # In a worker, pytest-cov leaves another one beneath the one that counts: stop them all.
        latest = Coverage.current()
        while (measuring := Coverage.current()) is not None:
            measuring.stop()
        self.counts = latest or self.counts

    @contextmanager
    def looking(self) -> Iterator[None]:
        """Let coverage.py look itself, where what runs bears no marks."""
        if self.counts is None:
            yield
            return
        self.counts.start()
        try:
            yield
        finally:
            self.counts.stop()

    def tell(self) -> None:
        """Give it what was marked."""
        if self.counts is not None:
            ran = {
                path: arcs(Path(path).read_bytes(), said, marks)
                for path, (said, marks) in loaded.items()
            }
            self.counts.get_data().add_arcs(ran)
