"""Three-point estimates and critical paths against examples of textbooks, row by row."""

import math
import re

import numpy as np
import pytest

from putback.solvers.risk import Network, critical, pert_draws, pert_mean, pert_variance, play
from tests.published.reference import Row, rows
from tests.solvers.starts import Starts, find_starts

TABLE = rows("i_pert_cpm.csv")
RUNS = 40_000


def words(row: Row) -> str:
    """The inputs as they were written."""
    return "; ".join(v if k == "words" else f"{k}={v}" for k, v in row.inputs.items())


def triples(text: str) -> dict[str, tuple[float, float, float]]:
    """Read ``A=(5, 5, 7)`` and the like."""
    found = re.findall(r"(\w+)=\(([\d.]+), ?([\d.]+), ?([\d.]+)\)", text)
    return {name: (float(a), float(m), float(b)) for name, a, m, b in found}


def near(row: Row, value: float) -> None:
    """Compare with what is published."""
    assert value == pytest.approx(float(row.expected), abs=row.slack), row


def of(*patterns: str) -> list[Row]:
    """The rows whose quantity or inputs begin so."""
    return [r for r in TABLE if any(re.match(p, r.quantity) for p in patterns)]


def net14() -> tuple[list[str], list[list[int]], list[tuple[float, float, float]]]:
    """The network of fourteen jobs: names, what each waits for, its estimate."""
    text = next(r for r in TABLE if r.quantity.startswith("NET14 definition")).expected
    times = triples(text)
    names = list(times)
    before = [
        [names.index(each) for each in after.split(",")] if after else []
        for after in re.findall(r"\)(?: after ([A-Z,]+))?", text)
    ]
    return names, before, list(times.values())


def on_arrows(text: str) -> tuple[list[str], list[list[int]], list[float]]:
    """A network of arrows from event to event: names, what each waits for, its duration."""
    arrows = sorted(re.findall(r"(\d+)-(\d+)=(\d+)", text), key=lambda a: (int(a[0]), int(a[1])))
    before = [[n for n, one in enumerate(arrows) if one[1] == each[0]] for each in arrows]
    return [f"{a}-{b}" for a, b, _ in arrows], before, [float(t) for *_, t in arrows]


def chance_by(mean: float, variance: float, due: float) -> float:
    """The chance that a normal time is over by then, of many runs in three equal parts."""
    rng = np.random.default_rng(5)
    third = rng.normal(mean / 3, math.sqrt(variance / 3), (3, RUNS * 5))
    runs = play(Network.without_hours([[], [0], [1]]), third, 0.0, {})
    return float((runs.finish <= due).mean())


@pytest.mark.parametrize("row", of("te$", "variance$", "expected time and variance"), ids=words)
def test_mean_and_variance_of_an_estimate(row):
    """The closed form is the textbook's, and what is drawn has that mean and variance."""
    a, m, b = (float(row.inputs[each]) for each in "amb")
    drawn = pert_draws(a, m, b, RUNS, np.random.default_rng(1))
    assert a <= drawn.min() <= drawn.max() <= b
    if row.quantity.endswith("variance"):
        near(row, pert_variance(a, b))
        assert drawn.var() == pytest.approx(pert_variance(a, b), rel=0.05)
    else:
        near(row, pert_mean(a, m, b))
        assert drawn.mean() == pytest.approx(pert_mean(a, m, b), rel=0.01)


@pytest.mark.parametrize("row", of("probability of"), ids=words)
def test_chance_of_an_end_in_time(row):
    """Runs of a chain end in time as often as the table of the normal distribution says."""
    given = dict(re.findall(r"(mean|variance|due)=([\d.]+)", words(row)))
    due = float(given.get("due") or row.quantity.rpartition(" ")[2])
    chance = chance_by(float(given["mean"]), float(given["variance"]), due)
    # the books round z to two places before they look it up: 0.005 of z is 0.002
    assert chance == pytest.approx(float(row.expected), abs=row.slack + 0.004), row


@pytest.mark.parametrize("row", of("project expected time", "project variance, path"), ids=words)
def test_a_chain_of_four_estimates(row):
    """Runs of a chain have the sum of the means and of the variances."""
    table = next(r for r in TABLE if r.quantity.startswith("project expected time"))
    times = triples(words(table))
    rng = np.random.default_rng(2)
    drawn = np.array([pert_draws(*each, RUNS, rng) for each in times.values()])
    runs = play(Network.without_hours([[], [0], [1], [2]]), drawn, 0.0, {})
    if "variance" in row.quantity:
        near(row, sum(pert_variance(a, b) for a, _, b in times.values()))
        assert runs.finish.var() == pytest.approx(float(row.expected), rel=0.05)
    else:
        near(row, sum(pert_mean(*each) for each in times.values()))
        assert runs.finish.mean() == pytest.approx(float(row.expected), abs=0.05)


@pytest.mark.parametrize("row", of("project variance \\(sum"), ids=words)
def test_variances_along_a_path_add_up(row):
    """The end of a chain of normal times has the sum of their variances."""
    each = [float(v) for v in words(row).split("+")]
    near(row, sum(each))
    rng = np.random.default_rng(3)
    drawn = np.array([rng.normal(100, math.sqrt(v), RUNS) for v in each])
    chain = Network.without_hours([[n - 1] if n else [] for n in range(len(each))])
    assert play(chain, drawn, 0.0, {}).finish.var() == pytest.approx(sum(each), rel=0.05)


@pytest.mark.parametrize("row", of("project duration, path"), ids=words)
def test_length_of_a_project_of_ten_jobs(row):
    """The path that the book names is as long as it says.

    The rows give no times of A, F and G: F is what the rest of its path leaves of the length.
    """
    times = {"B": 3.0, "C": 4.0, "D": 2.0, "E": 3.0, "H": 5.0, "J": 3.0}
    for each in of("expected time and variance: te"):
        assert times[each.inputs["activity"]] == float(each.expected)
    times |= {"A": 0.0, "G": 0.0, "I": 0.0, "F": float(row.expected) - 4 - 5 - 3}
    after = dict(re.findall(r"([A-Z]):([A-Z](?:,[A-Z])*)", words(row)))
    names = sorted(times)
    before = [[names.index(p) for p in after.get(n, "").split(",") if p] for n in names]
    starts = find_starts(before, [times[n] for n in names])
    near(row, starts.finish)
    assert [n for n, slack in zip(names, starts.slack, strict=True) if slack == 0] == list("CFHJ")


NET14_ROWS = [r for r in TABLE if r.inputs.get("words") == "NET14"]


@pytest.mark.parametrize("row", NET14_ROWS, ids=lambda row: row.quantity)
def test_network_of_fourteen_jobs(row):
    """Starts, slack and length of a site without people, and of runs, are the published."""
    names, before, times = net14()
    means = [pert_mean(*each) for each in times]
    starts = find_starts(before, means)
    assert len(names) == len(before) == 14
    if row.quantity.startswith("NET14 definition"):
        assert row.expected.count("after") == sum(map(bool, before)) == 12
    elif row.quantity.endswith("length"):
        near(row, starts.finish)
        drawn = np.repeat(np.array(means)[:, None], 3, axis=1)
        assert play(Network.without_hours(before), drawn, 0.0, {}).finish == pytest.approx(
            starts.finish
        )
    elif row.quantity.endswith("by 55"):
        on_path = [n for n, slack in enumerate(starts.slack) if slack < 0.01]
        variance = sum(pert_variance(times[n][0], times[n][2]) for n in on_path)
        assert chance_by(starts.finish, variance, 55) == pytest.approx(
            float(row.expected), abs=0.004
        )
    else:
        what, _, name = row.quantity.partition(" of ")
        near(row, figure_of(starts, means, names.index(name))[what])


def figure_of(starts: Starts, durations: list[float], job: int) -> dict[str, float]:
    """All that the books tell of a job."""
    return {
        "early start": starts.earliest[job],
        "early finish": starts.earliest[job] + durations[job],
        "late start": starts.latest[job],
        "late finish": starts.latest[job] + durations[job],
        "slack": starts.slack[job],
    }


ARROWS = [r for r in TABLE if words(r).startswith("AOA")]


@pytest.mark.parametrize("row", ARROWS, ids=lambda row: row.quantity + row.expected)
def test_networks_of_arrows(row):
    """Starts, slack and length of two networks that a book draws with jobs on arrows."""
    names, before, durations = on_arrows(words(row))
    starts = find_starts(before, durations)
    if row.quantity == "project length":
        near(row, starts.finish)
        return
    job = names.index(row.quantity.rpartition(" ")[2])
    figures = figure_of(starts, durations, job)
    if row.unit == "text":
        told = (
            figures[each]
            for each in ("early start", "early finish", "late start", "late finish", "slack")
        )
        assert ",".join(f"{each:g}" for each in told) == row.expected
    else:
        near(row, figures["slack"])


@pytest.mark.parametrize("row", of("criticality of path"), ids=words)
def test_how_often_one_of_two_paths_is_critical(row):
    """Of two independent normal paths each is critical as often as the closed form says."""
    one, other = re.findall(r"mean (\d+) var (\d+)", words(row))
    rng = np.random.default_rng(4)
    drawn = np.array([rng.normal(float(m), math.sqrt(float(v)), RUNS) for m, v in (one, other)])
    network = Network.without_hours([[], []])
    share = critical(network, play(network, drawn, 0.0, {})).mean(axis=1)
    assert share[0] == pytest.approx(float(row.expected), abs=0.01)
