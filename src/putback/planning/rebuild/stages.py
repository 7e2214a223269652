"""The stages of a rebuild: making ready, trial build, paint, final build, first run and after.

Rule 16 of the rebuild in ``docs/planning-rules.md``.
"""

import re
from collections.abc import Iterable, Sequence

from putback.planning.plan import Action, Stage
from putback.planning.rebuild.edges import Edge
from putback.planning.rebuild.never_run import last_of_all
from putback.planning.rebuild.work import Node, Work
from putback.vehicle.ids import JobId, split_ref
from putback.vehicle.job import Job, JobKind

PAINT = re.compile(r"\b(?:paint|primer|coat|lacquer|enamel|spray)")
"""How the words of a job begin that paints or coats."""
_PAINTS = frozenset({JobKind.PREPARE, JobKind.REPAIR, JobKind.CURE})


def trial_build(work: Work, edges: Iterable[Edge]) -> frozenset[Node]:
    """The planned *prove* jobs, and all that comes before them."""
    todo = [node for node in work.nodes if _is(work, node, JobKind.PROVE)]
    found = set(todo)
    before: dict[Node, list[Node]] = {}
    for edge in edges if todo else ():
        before.setdefault(edge.then, []).append(edge.first)
    while todo:
        for first in before.get(todo.pop(), ()):
            if first not in found:
                found.add(first)
                todo.append(first)
    return frozenset(found)


def stages_of(work: Work, order: Sequence[Node], trial: frozenset[Node]) -> tuple[Stage, ...]:
    """Say of each step in turn which stage it belongs to."""
    without = last_of_all(work)
    by_runs = by_first_run(
        [_is(work, node, JobKind.RUN) for node in order], [node in without for node in order]
    )
    found = []
    for node, by_run in zip(order, by_runs, strict=True):
        if by_run is not None:
            stage = by_run
        elif node.action is Action.PREPARE:
            stage = Stage.READY
        elif node in trial:
            stage = Stage.TRIAL
        elif (job := _job(work, node)) is not None and is_painting(job):
            stage = Stage.PAINT
        else:
            stage = Stage.BUILD
        found.append(stage)
    return tuple(found)


def by_first_run(runs: Sequence[bool], never_run: Sequence[bool]) -> list[Stage | None]:
    """Give the stage of each step of an order that comes of a run; ``None`` before the first.

    Of each step it is said whether it runs the vehicle, and whether it waits for a run that no
    step is.
    """
    count = len(runs)
    if True in runs:
        first, last = runs.index(True), count - 1 - runs[::-1].index(True)
    else:
        first, last = (never_run.index(True) if True in never_run else count), -1
    return [
        None if at < first else Stage.RUN if at <= last else Stage.AFTER for at in range(count)
    ]


def is_painting(job: Job) -> bool:
    """Whether a job paints or coats, or lets that dry."""
    return job.kind in _PAINTS and PAINT.search(job.name.lower()) is not None


def _is(work: Work, node: Node, kind: JobKind) -> bool:
    job = _job(work, node)
    return job is not None and job.kind is kind


def _job(work: Work, node: Node) -> Job | None:
    kind, identity = split_ref(node.what)
    return work.vehicle.jobs[JobId(identity)] if kind == "job" else None
