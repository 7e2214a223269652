"""The order of a rebuild once it is improved: cheaper, by the same rules, and no riskier."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal, Stopped
from putback.planning.check import RebuildRule, check_rebuild
from putback.planning.held.lifting import Lifting
from putback.planning.ordering.items import Change, Lesson
from putback.planning.plan import USUAL, Action, PlanSettings
from putback.planning.rebuild import improve as improving
from putback.planning.rebuild.along import Aim, Along
from putback.planning.rebuild.hands import Keep
from putback.planning.rebuild.improve import improve
from putback.planning.rebuild.order import Scheduling, Thumb
from putback.planning.rebuild.pays import PAYS
from putback.planning.rebuild.pieces import Pieces
from putback.planning.rebuild.placed import Order, Placed, Stuck
from putback.planning.rebuild.planner import Posed, pose
from putback.planning.rebuild.work import Node
from putback.progress import NoProgress
from putback.vehicle.facts import Before, Phase
from putback.vehicle.job import JobKind
from tests.makers import vehicle
from tests.planning.rebuilding import OFF as ROLLING_OFF
from tests.planning.rebuilding import apart, job, rolling
from tests.planning.test_rebuild_random import half_stripped
from tests.strategies.aloft import hung_vehicles
from tests.strategies.rebuilds import half_known_vehicles, torn_vehicles

FINE = 10.0


def posed(v, state, settings: PlanSettings = USUAL) -> Posed:
    """What is to be put in order."""
    return pose(v, state, settings, NoProgress())


def begun(problem: Posed, rule: int = 0) -> Order:
    """The order that one rule of thumb gives."""
    thumb = Thumb(PAYS[rule], Keep.TOOL)
    return Scheduling(problem.network, thumb, lifting(problem)).order()


def lifting(problem: Posed) -> Lifting:
    """Weighs the parts."""
    return Lifting(problem.network.work.vehicle)


def improved(problem: Posed, order: Order, **more) -> Order:
    """The order made better."""
    return improve(problem.network, order, lifting(problem), NoProgress(), **more)


def pieces_of(problem: Posed, order: Order) -> Pieces:
    """The order as a problem of order."""
    return Pieces(problem.network, order, lifting(problem), FINE)


def words(nodes) -> list[str]:
    """Steps as ``make lid-frame``."""
    return [f"{node.action} {node.what.partition(':')[2]}" for node in nodes]


def assert_no_worse(problem: Posed, first: Order, then: Order) -> None:
    """The same steps, in an order that keeps every edge and costs and asks for no more."""
    nodes = [each.node for each in then.placed]
    assert sorted(words(nodes)) == sorted(words(each.node for each in first.placed))
    place = {node: at for at, node in enumerate(nodes)}
    assert all(place[edge.first] < place[edge.then] for edge in problem.edges)
    assert then.setup_minutes <= first.setup_minutes
    assert then.setup_minutes == pytest.approx(sum(each.setup_minutes for each in then.placed))
    asked = [
        improving._count_precautions(problem.network, each, lifting(problem))
        for each in (first, then)
    ]
    assert all(now <= before for before, now in zip(*asked, strict=True))


@given(st.one_of(torn_vehicles(), hung_vehicles(), half_known_vehicles()), st.integers(0, 3))
def test_an_improved_order_keeps_the_rules_and_is_never_dearer(torn, rule):
    """From whichever rule of thumb it begins: all edges kept, nothing for the checker to say.

    What the checker says of the order begun with is not the search's to mend.
    """
    v, state = torn
    try:
        problem = posed(v, state)
        first = begun(problem, rule)
    except (ImpossibleGoal, Stuck):
        return
    then = improved(problem, first)
    assert_no_worse(problem, first, then)
    if not check_rebuild(v, state, problem.written(first)):
        assert check_rebuild(v, state, problem.written(then)) == ()


@pytest.mark.parametrize("case", [(60, 2, 1.0), (60, 2, 0.5), (120, 4, 1.0)], ids=str)
def test_a_generated_vehicle_takes_less_set_up(case):
    """Where there is much to choose, something is gained, and the rules are kept."""
    v, state = half_stripped(*case)
    problem = posed(v, state)
    first = begun(problem)
    then = improved(problem, first)
    assert_no_worse(problem, first, then)
    assert then.setup_minutes < 0.97 * first.setup_minutes
    assert check_rebuild(v, state, problem.written(then)) == ()
    assert then == improved(problem, first)


def test_what_is_annealed_is_not_taken_at_its_word():
    """Planted: an order that keeps plain precedence alone turns the checker red."""
    v, state = half_stripped(120, 4, 1.0)
    problem = posed(v, state)
    pieces = pieces_of(problem, begun(problem))
    from putback.planning.ordering.anneal import improve_order

    items = improve_order(pieces.ordering, pieces.start, pieces.sortings, 100_000, (4.0, 0.2))
    aims = pieces.aims(items)
    assert_said_wrong = check_rebuild(v, state, problem.written(_as_wanted(problem, aims)))
    assert RebuildRule.LOOSE_FIRST in {fault.rule for fault in assert_said_wrong}
    order = Along(problem.network, aims, lifting(problem)).order()
    assert check_rebuild(v, state, problem.written(order)) == ()


def _as_wanted(problem: Posed, aims: list[Aim]) -> Order:
    """The steps just as they are wanted, at no price."""
    net = problem.network
    placed = tuple(Placed(net.nodes[aim.node], aim.standing, 0.0) for aim in aims)
    return Order(placed, aims[0].standing, 0.0, {})


# -- pieces ---------------------------------------------------------------------------------------


@given(st.one_of(torn_vehicles(), hung_vehicles()))
def test_the_pieces_of_an_order_lead_back_to_it(torn):
    """Along its own pieces an order comes out as it was, and nothing is to be learnt."""
    try:
        problem = posed(*torn)
        first = begun(problem)
    except (ImpossibleGoal, Stuck):
        return
    pieces = pieces_of(problem, first)
    aims = pieces.aims(pieces.start)
    nodes = [problem.network.nodes[aim.node] for aim in aims]
    assert sorted(words(nodes)) == sorted(words(each.node for each in first.placed))
    place = {item: at for at, item in enumerate(pieces.start)}
    assert len(place) == pieces.ordering.count
    assert all(place[one] < place[other] for one, other in pieces.ordering.pairs)


def shelves():
    """Two shelves on a frame, and the screws of another zone."""
    v = vehicle("one - frame", "two - frame", "lid - one", datum="frame")
    return v, apart(v, "lid-one", "lid", "two-frame", "two", "one-frame", "one")


def test_what_goes_on_and_what_fastens_it_is_one_piece():
    """A shelf and the joint that holds it first stay together; tightening is apart."""
    problem = posed(*shelves())
    found = [
        words(problem.network.nodes[node] for node in piece)
        for piece in pieces_of(problem, begun(problem)).pieces
    ]
    assert ["put on one", "make one-frame"] in found
    assert ["tighten one-frame"] in found


def test_nothing_is_done_on_a_standing_before_what_it_bears_on_is_there():
    """The change to the wheels comes after the wheel, whatever is gained otherwise."""
    v = rolling()
    problem = posed(v, apart(v, *ROLLING_OFF, standing="stands"))
    pieces = pieces_of(problem, begun(problem))
    assert pieces.standings == ["stands", "wheels"]
    (change,) = pieces.changes
    assert (pieces.put_on["wheel"], change) in pieces.ordering.pairs


def test_a_hold_point_is_wanted_right_before_what_waits_for_it():
    """Though the order has it first of all."""
    v, state = shelves()
    look, fact = job("look", JobKind.CHECK), Before("b", "job:look", "part:lid", "", Phase.REBUILD)
    v = v.with_records(jobs={look.id: look}, befores={fact.id: fact})
    problem = posed(v, replace(state, vehicle=v))
    net, order = problem.network, begun(problem)
    check = next(each for each in order.placed if each.node.what == "job:look")
    sooner = (check, *(each for each in order.placed if each is not check))
    pieces = pieces_of(problem, replace(order, placed=sooner))
    said = words(net.nodes[aim.node] for aim in pieces.aims(pieces.start))
    assert said.index("do look") == said.index("put on lid") - 1


# -- along an order -------------------------------------------------------------------------------


def test_what_may_not_be_done_yet_waits_and_teaches():
    """A joint wanted tight before the other of its part is made: that one comes first."""
    v = vehicle("left = lid - frame", "right = lid - frame", datum="frame")
    problem = posed(v, apart(v, "left", "right", "lid"))
    net = problem.network
    wanted = ["put on lid", "make left", "tighten left", "make right", "tighten right"]
    number = dict(zip(words(net.nodes), range(len(net.nodes)), strict=True))
    scheduling = Along(net, [Aim(number[each], None, 0) for each in wanted], lifting(problem))
    order = scheduling.order()
    done = words(each.node for each in order.placed)
    assert done == ["put on lid", "make left", "make right", "tighten left", "tighten right"]
    assert Lesson(number["tighten left"], (number["make right"],)) in scheduling.lessons
    assert number["tighten left"] not in scheduling.passed_by


def test_what_is_not_left_slack_comes_before_the_change():
    """A wheel is wanted on the ground before its nuts are tight: they are tightened first."""
    v = rolling()
    problem = posed(v, apart(v, *ROLLING_OFF, standing="stands"))
    order = begun(problem)
    pieces = pieces_of(problem, order)
    net = problem.network
    tight = net.index[Node(Action.TIGHTEN, "joint:nuts")]
    change = Lesson(Change(1), (tight,))
    aims = pieces.aims(pieces.start)
    late = [*(aim for aim in aims if aim.node != tight), Aim(tight, "wheels", 1)]
    scheduling = Along(net, late, lifting(problem))
    scheduling.order()
    assert change in scheduling.lessons
    ordering = pieces.taught({change: 2})
    clause = ordering.any_of[-1]
    assert (clause.item, clause.before) == (pieces.changes[0], (pieces.piece_of[tight],))
    assert clause.fine == 2 * FINE


# -- what is left as it is ------------------------------------------------------------------------


def test_a_cheaper_order_that_asks_for_more_is_not_taken(monkeypatch):
    """Minutes are not bought with something to be propped."""
    v, state = half_stripped(60, 3, 1.0)
    problem = posed(v, state)
    first = begun(problem)
    counts = iter(range(1000))
    monkeypatch.setattr(improving, "_count_precautions", lambda *_: (next(counts), 0, 0))
    assert improved(problem, first) is first


def test_what_nothing_can_be_gained_by_is_left():
    """Where walks, tools and helpers cost nothing, and where there are but a few steps."""
    v, state = half_stripped(20, 2, 1.0)
    free = PlanSettings(zone_minutes=0.0, tool_minutes=0.0, helper_minutes=0.0)
    problem = posed(v, state, free)
    first = begun(problem)
    assert improved(problem, first) is first
    v = vehicle("lid - frame", datum="frame")
    few = posed(v, apart(v))
    assert improved(few, begun(few)).placed == ()


def test_an_order_of_too_many_steps_is_left(monkeypatch):
    """It would take too long, and gain nothing in so few rounds."""
    problem = posed(*half_stripped(60, 3, 1.0))
    first = begun(problem)
    monkeypatch.setattr(improving, "_TOO_MANY", len(first.placed) - 1)
    assert improved(problem, first) is first


def test_an_order_that_gets_stuck_is_passed_over(monkeypatch):
    """The best order known stays."""

    def stuck(*_):
        raise Stuck((), ())

    problem = posed(*half_stripped(60, 3, 1.0))
    first = begun(problem)
    monkeypatch.setattr(Along, "order", stuck)
    assert improved(problem, first) is first


def test_somebody_is_told_how_far_it_is_and_may_stop_it():
    """Round by round, up to all of them; a few where it is to be quick."""
    told = []

    class Listening(NoProgress):
        def step(self, done, total, words):
            told.append((done, total, words))
            if words == "improving the order" and done == 1:
                raise Stopped

    problem = posed(*half_stripped(60, 3, 1.0))
    first = begun(problem)
    for quick in (True, False):
        with pytest.raises(Stopped):
            improve(problem.network, first, lifting(problem), Listening(), quick=quick)
    assert [done for done, *_ in told] == [0, 1, 0, 1]
    few, many = told[0][1], told[-1][1]
    assert few == 3 < many <= 10
