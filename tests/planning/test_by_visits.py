"""Work spread over a walk of standings: where it may be done, in order, and nothing in the air."""

from itertools import islice, pairwise

import pytest

from putback.planning.check import check_strip
from putback.planning.ordering import way
from putback.planning.ordering.task import set_task
from putback.planning.ordering.way import choose_stages
from putback.planning.plan import PlanSettings
from putback.planning.search import visits
from putback.planning.search.arrange import Bout, arrange
from putback.planning.search.by_visits import arrange_by_visits, with_fewer_visits
from putback.planning.search.field import Field, Rules
from putback.planning.search.laid_out import LaidOut
from putback.planning.search.learnt import Learnt
from putback.planning.search.on_walk import OnWalk
from putback.planning.search.visits import spread_over
from putback.planning.search.walks import walks
from putback.planning.strip import plan_strip
from putback.progress import NoProgress
from putback.vehicle.generate import generate
from tests.makers import standing, vehicle
from tests.planning.hand_made import state_of

SETTINGS = PlanSettings()


def rules_of(v, standing=None, goal=None) -> Rules:
    """What a goal of a vehicle takes, the first one if none is given, to be put in order."""
    goal = goal or next(iter(v.goals.values()))
    task = set_task(v, state_of(v, standing=standing), goal, SETTINGS)
    chosen = choose_stages(task.problem, task.stages, NoProgress())
    return Rules(task.problem, [frozenset(each.nodes) for each in chosen], settings=SETTINGS)


def walked(rules: Rules, bouts) -> float:
    """What the changes of standing of some bouts cost, gone through by all the rules [minutes]."""
    field, cost = Field(rules), 0.0
    for bout in bouts:
        change = field.enter_minutes(bout.standing)
        assert change is not None
        assert bout.standing == field.standing or not field.hangs()
        cost, field.standing = cost + change, bout.standing
        for move in bout.moves:
            assert field.may(move)
            assert move < 0 or move in field.ready
            field.do(move)
    assert field.is_all_done()
    return cost


def stacked():
    """A tray on a box on the frame; each joint in a standing of its own."""
    return vehicle(
        "tray - box: 1 bolt M8; in up",
        "box - frame: 1 bolt M8; in down",
        standing("down", "frame", up=20.0),
        standing("up", "frame", down=20.0),
        datum="frame",
    )


@pytest.mark.parametrize("seed", [0, 2, 3])
def test_all_is_done_by_the_rules_on_no_dearer_a_walk_than_bout_after_bout(seed):
    """Every move may be made where it stands, and the changes cost no more."""
    v = generate(90, seed)
    by_visits = arrange_by_visits(rules_of(v), SETTINGS)
    assert by_visits is not None
    rules = rules_of(v)
    assert walked(rules, by_visits) <= walked(rules, arrange(rules)) + 1e-9


@pytest.mark.parametrize("seed", [5, 8])
def test_a_plan_of_few_steps_takes_no_dearer_a_walk_either(seed):
    """Bout after bout the walk is dearer, or something is let pass; the plan takes the cheaper."""
    v = generate(60, seed)
    goal, rules = v.goals["rolling"], rules_of(v, goal=v.goals["rolling"])
    cheap, standings = arrange_by_visits(rules, SETTINGS), v.standings
    bouts = arrange(rules_of(v, goal=goal))
    plan = plan_strip(v, state_of(v), goal, SETTINGS)
    assert check_strip(v, state_of(v), goal, plan, SETTINGS) == ()
    assert not any(step.add_support for step in plan.steps)
    stood = [step.standing for step in plan.steps]
    changes = [standings[a].change_minutes[b] for a, b in pairwise(stood) if a != b]
    assert sum(changes) <= walked(rules, cheap) + 1e-9
    of_bouts = [standings[a.standing].change_minutes[b.standing] for a, b in pairwise(bouts)]
    assert sum(changes) < sum(of_bouts)


@pytest.mark.parametrize("seed", [28, 31, 36])
def test_visits_are_left_out_of_what_was_arranged_bout_after_bout(seed):
    """Bout after bout goes on while there is anything to do; the same fits into fewer visits."""
    v = generate(40, seed)
    goal = max(v.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    rules = rules_of(v, goal=goal)
    bouts = arrange(rules)
    fewer = with_fewer_visits(rules, bouts, SETTINGS)
    assert len(fewer) < len(bouts)
    assert walked(rules, fewer) < walked(rules, bouts)


def test_what_had_to_pass_may_pass_on_fewer_visits_too():
    """The tray is loose before it is turned over, whatever is done: once will do for both."""
    v = vehicle(
        "tray - box: 1 bolt M8; in down",
        "box - frame: 1 bolt M8; in down",
        "lid - frame: 1 bolt M8; in up",
        "lid blocks tray",
        "tray - box before lid - frame",
        standing("down", "frame", up=20.0),
        standing("up", "frame", down=20.0),
        datum="frame",
    )
    rules = rules_of(v, "down")
    down, up = arrange(rules)
    assert rules.waived
    tray, *box = down.moves
    longer = (Bout("down", (tray,)), up, Bout("down", tuple(box)))
    assert walked(rules, longer) == 40.0
    assert walked(rules, with_fewer_visits(rules, longer, SETTINGS)) == 20.0


def test_only_walks_below_a_limit_are_given():
    """The dearer ones are left out: the lower the limit, the fewer of the same walks are left."""
    rules = rules_of(generate(40, 1))
    some = [*islice(walks(rules), 12)]
    counts = []
    for limit in (0.0, 40.0, 60.0, 75.0, 1000.0):
        below = [*islice(walks(rules, below_minutes=limit), 12)]
        assert below == some[: len(below)]
        counts.append(len(below))
    assert counts == sorted(counts)
    assert len(set(counts)) > 2
    assert counts[0] == 0 < counts[-1]


def test_walks_come_cheapest_first_and_do_all():
    """Whatever hangs aside, all is done on each, and none is cheaper than one before."""
    v = generate(60, 5)
    rules = rules_of(v)
    costs = []
    for walk in list(walks(rules))[:5]:
        field, cost = Field(rules, watched=False), 0.0
        for at in walk:
            cost, field.standing = cost + field.enter_minutes(at), at
            while ready := [move for move in field.ready if field.may(move)]:
                field.do(ready[0])
            for move in field.to_crack():
                field.do(move)
        assert field.is_all_done()
        costs.append(cost)
    assert costs
    assert all(one <= other for one, other in pairwise(costs))


def test_what_would_be_in_the_air_before_a_change_is_no_choice():
    """The tray comes off up, the box down, and not the other way round."""
    rules = rules_of(stacked())
    learnt = Learnt(rules, SETTINGS)
    assert spread_over(learnt, ("down", "up")) is None
    visit_of = spread_over(learnt, ("up", "down")).visits()
    assert {rules.nodes[i].what: visit_of[i] for i in rules.steps} == {
        "joint:tray-box": 0,
        "part:tray": 0,
        "joint:box-frame": 1,
        "part:box": 1,
    }


@pytest.mark.parametrize("seed", [2, 11, 19])
def test_what_was_in_the_air_on_one_walk_shuts_no_other_for_nothing(seed):
    """Whichever parts are looked at first, the same walks are plainly shut."""
    rules = rules_of(generate(90, seed))
    plain, suspecting = Learnt(rules, SETTINGS), Learnt(rules, SETTINGS)
    parts = range(len(rules.guarded.links.parts))
    suspecting.suspects = {frozenset((part,)): None for part in parts}
    first = [*islice(walks(rules), 8)]
    some = [*first, *(tuple(reversed(walk)) for walk in first)]
    shut = [spread_over(plain, walk) is None for walk in some]
    assert any(shut)
    assert [spread_over(suspecting, walk) is None for walk in some] == shut


def test_nothing_is_done_in_a_visit_only_because_of_each_other():
    """Visit after visit, all that is chosen for it can be done one after another."""
    rules = rules_of(generate(90, 11))
    learnt = Learnt(rules, SETTINGS)
    for walk in islice(walks(rules), 6):
        spread_out = spread_over(learnt, walk)
        visit_of = spread_out.visits() if spread_out is not None else {}
        assert visit_of is not None
        done = set()
        for at in range(len(walk)):
            left = {index for index in visit_of if visit_of[index] <= at} - done
            while fresh := {
                index
                for index in left
                if all(not done.isdisjoint(ways) for ways in rules.steps_before(index))
            }:
                done |= fresh
                left -= fresh
            assert not left
    assert learnt.circles


@pytest.mark.parametrize("seed", [0, 2, 3, 11])
def test_each_part_may_be_held_by_one_of_an_earlier_rank(seed):
    """Ranked as an arrangement holds them it can be kept so, and nothing is met in the air."""
    rules = rules_of(generate(90, seed))
    learnt, led = Learnt(rules, SETTINGS), 0
    for walk in islice(walks(rules), 6):
        spread_out = spread_over(learnt, walk)
        visit_of = spread_out and spread_out.visits()
        if not visit_of:
            continue
        on_walk, pieces = spread_out.on_walk, dict(learnt.pieces)
        laid_out = LaidOut(on_walk, [on_walk.ranks(*each) for each in on_walk.holds(visit_of)])
        for _ in range(20):  # circles and loads are still shut out one by one
            again = laid_out.answer(0.2, NoProgress())
            if laid_out.is_kept(again):
                break
        assert learnt.pieces == pieces
        assert all(
            not hold.on[part] or hold.is_held(part)
            for _, hold in on_walk.holds(again)
            for part in on_walk.held_at_first - rules.spared
        )
        led += 1
    assert led


@pytest.mark.parametrize("seed", [0, 3, 4])
def test_what_is_held_rank_by_rank_is_done_by_the_rules(seed, monkeypatch):
    """Were it tried after the first answer already, all would be done by the rules as well."""
    v, ranked = generate(90, seed), []

    def ranking(self, *each):
        ranked.append(each)
        return ranks(self, *each)

    ranks = OnWalk.ranks
    monkeypatch.setattr(OnWalk, "ranks", ranking)
    monkeypatch.setattr(visits, "_LED", frozenset({1, 2, 3}))
    bouts = arrange_by_visits(rules_of(v), SETTINGS)
    assert ranked
    rules = rules_of(v)
    assert walked(rules, bouts) <= walked(rules, arrange(rules)) + 1e-9


def test_a_plan_made_so_keeps_all_rules(monkeypatch):
    """The whole planner with it, held against the rules."""
    monkeypatch.setattr(way, "_MANY", 1)
    for seed in range(3):
        v = generate(60, seed)
        now = state_of(v)
        goal = next(iter(v.goals.values()))
        plan = plan_strip(v, now, goal, SETTINGS)
        assert check_strip(v, now, goal, plan, SETTINGS) == ()
        assert plan.bound_minutes <= plan.total_minutes + 1e-9
