"""Making moves by all the rules, and what is learnt where an order does not keep them."""

import pytest

from putback.planning.ordering import improve as improving
from putback.planning.ordering import settle as settling
from putback.planning.ordering.anneal import improve_order
from putback.planning.ordering.fewer_changes import with_fewer_changes
from putback.planning.ordering.improve import improve
from putback.planning.ordering.items import Change, Items, Lesson
from putback.planning.ordering.order import cost_of
from putback.planning.ordering.price import price, total_minutes
from putback.planning.ordering.settle import settle
from putback.planning.plan import PlanSettings
from putback.planning.posing.pose import pose
from putback.planning.search.arrange import Bout, arrange, bouts_of
from putback.planning.search.by_visits import arrange_by_visits
from putback.planning.search.field import Rules
from putback.planning.search.windows import Windows
from putback.vehicle.generate import generate
from putback.vehicle.job import Job, JobKind
from putback.vehicle.part import Part, PartKind
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely, state_of
from tests.planning.test_by_visits import rules_of as of_the_goal
from tests.planning.test_rebuild_stands import SQUARE, stood


def rules_of(v, **state) -> tuple[Rules, dict[str, int]]:
    """The rules of all that can be done, and the moves by name."""
    problem = pose(v, state_of(v, **state), ["frame"])
    wanted = [i for i, node in enumerate(problem.nodes) if node.what != "part:frame"]
    rules = Rules(problem, [wanted], settings=PlanSettings())
    return rules, {rules.nodes[index].what: index for index in rules.steps}


LID = vehicle("lid - frame", "pump - frame", "lid blocks pump - frame", datum="frame")


def test_moves_that_work_are_made_as_they_are():
    """Nothing waits, and nothing is learnt."""
    rules, at = rules_of(LID)
    order = ("joint:lid-frame", "part:lid", "joint:pump-frame", "part:pump")
    bouts = [Bout(None, tuple(at[each] for each in order))]
    settled = settle(rules, bouts, dict.fromkeys(bouts[0].moves, 0))
    assert settled.works
    assert [move for move, _ in settled.made] == list(bouts[0].moves)
    assert not settled.lessons


def test_what_cannot_be_done_yet_waits_and_what_it_waited_for_is_learnt():
    """The pump's joint comes too early, and is undone once the lid is off."""
    rules, at = rules_of(LID)
    order = ("joint:pump-frame", "joint:lid-frame", "part:lid", "part:pump")
    bouts = [Bout(None, tuple(at[each] for each in order))]
    settled = settle(rules, bouts, dict.fromkeys(bouts[0].moves, 0))
    assert settled.works
    names = [rules.nodes[move].what for move, _ in settled.made]
    assert names == ["joint:lid-frame", "part:lid", "joint:pump-frame", "part:pump"]
    assert set(settled.lessons) == {Lesson(at["part:lid"], (), (at["joint:pump-frame"],))}


STOOD = vehicle(
    "a - frame: 1 clip; in wheels",
    "b - frame: 1 clip; in stands",
    "c - frame",
    standing("wheels", "frame", stands=30.0),
    standing("stands", "frame", wheels=30.0),
    datum="frame",
)


def test_a_move_that_never_can_be_made_stays_where_it_is_known_to_work():
    """The joint that wants the wheels is put after the change: it belongs before."""
    rules, at = rules_of(STOOD, standing="wheels")
    late = ("joint:a-frame", "joint:b-frame", "part:a", "part:b", "joint:c-frame", "part:c")
    bouts = [Bout("wheels", ()), Bout("stands", tuple(at[each] for each in late))]
    known = {at[each]: int("b" in each.partition(":")[2][:1]) for each in late}
    settled = settle(rules, bouts, known)
    assert not settled.works
    assert Lesson(Change(1), (at["joint:a-frame"],)) in settled.lessons


SMALL_THEN_LARGE = ("joint:small-frame", "part:small", "joint:large-frame", "part:large")


def test_a_lift_after_which_another_would_tip_it_comes_behind_that():
    """The small tank first, the large one is let pass; after the large one the small one may not.

    Of 160 kg with the small one on, the centre is 0.22 m off, of 150 kg without it 0.27 m: 0.28
    and 0.23 m are left inside.
    """
    v = vehicle(
        "large - frame",
        "small - frame",
        "other - frame",
        Part("frame", "frame", "here", PartKind.STRUCTURE, mass_kg=50.0, cg_m=(1.0, 0.0, 0.4)),
        Part("large", "large tank", "here", mass_kg=100.0, cg_m=(1.0, -0.4, 0.4)),
        Part("small", "small tank", "here", mass_kg=10.0, cg_m=(1.0, -0.4, 0.4)),
        Part("other", "tank on the other side", "here", mass_kg=100.0, cg_m=(1.0, 0.4, 0.4)),
        stood("square", *SQUARE),
        datum="frame",
    )
    problem = pose(v, state_of(v, standing="square"), ["frame", "other"])
    at = {node.what: index for index, node in enumerate(problem.nodes)}
    known = [at[what] for what in SMALL_THEN_LARGE]
    rules = Rules(problem, [known], settings=PlanSettings(least_margin_m=0.25))
    rules.waived = frozenset({at["part:large"]})
    assert price(rules, [Bout("square", tuple(known))], PlanSettings())
    tried = [Bout("square", (*known[2:], *known[:2]))]
    settled = settle(rules, tried, dict.fromkeys(known, 0))
    assert not settled.works
    assert set(settled.lessons) == {Lesson(at["part:small"], (), (at["part:large"],))}


def test_what_would_be_in_the_air_is_off_before_a_change_or_let_go_after_it():
    """The part that is let go on the wheels and left there is told, with what let it go."""
    rules, at = rules_of(STOOD, standing="wheels")
    bouts = [
        Bout("wheels", (at["joint:a-frame"], at["part:a"], at["joint:c-frame"])),
        Bout("stands", tuple(at[each] for each in ("joint:b-frame", "part:b", "part:c"))),
    ]
    known = {move: number for number, bout in enumerate(bouts) for move in bout.moves}
    settled = settle(rules, bouts, known)
    assert not settled.works
    lesson = Lesson(Change(1), (at["part:c"],), (at["joint:c-frame"],))
    assert set(settled.lessons) == {lesson}


def test_what_would_be_in_the_air_is_let_go_after_the_change_if_it_may_be():
    """What let it go is made again after the change; the lesson stays."""
    rules, at = rules_of(STOOD, standing="wheels")
    bouts = [
        Bout("wheels", (at["joint:a-frame"], at["joint:c-frame"], at["part:a"])),
        Bout("stands", tuple(at[each] for each in ("joint:b-frame", "part:b", "part:c"))),
    ]
    known = {move: number for number, bout in enumerate(bouts) for move in bout.moves}
    latest = dict.fromkeys(known, 1) | {at["joint:a-frame"]: 0}
    settled = settle(rules, bouts, known, (), latest)
    assert settled.works
    assert settled.bouts[0].moves == (at["joint:a-frame"], at["part:a"])
    assert at["joint:c-frame"] in settled.bouts[1].moves
    assert Lesson(Change(1), (at["part:c"],), (at["joint:c-frame"],)) in settled.lessons
    latest[at["joint:c-frame"]] = 0
    assert not settle(rules, bouts, known, (), latest).works


def test_what_was_in_the_air_before_one_change_is_not_to_be_before_another():
    """The vehicle stands on the frame throughout: so the part may hang before neither change."""
    rules, at = rules_of(STOOD, standing="wheels")
    bouts = [
        Bout("wheels", (at["joint:a-frame"], at["part:a"], at["joint:c-frame"])),
        Bout("stands", (at["joint:b-frame"], at["part:b"])),
        Bout("wheels", (at["part:c"],)),
    ]
    known = {move: number for number, bout in enumerate(bouts) for move in bout.moves}
    lessons = settle(rules, bouts, known).lessons
    assert set(lessons) == {
        Lesson(Change(number), (at["part:c"],), (at["joint:c-frame"],)) for number in (1, 2)
    }


def test_items_let_nothing_be_in_the_air_when_the_standing_changes():
    """Whatever is annealed, each part is off before the change or let go after it."""
    rules, at = rules_of(STOOD, standing="wheels")
    bouts = arrange(rules)
    items = Items(rules, bouts, PlanSettings())
    for seed in range(20):
        order = improve_order(items.ordering, items.start, items.sortings, 2000, (9.0, 5.0), seed)
        annealed = items.bouts(order)
        place = {move: n for n, move in enumerate(m for bout in annealed for m in bout.moves)}
        standing_of = {move: bout.standing for bout in annealed for move in bout.moves}
        for part in "abc":
            undone, off = at[f"joint:{part}-frame"], at[f"part:{part}"]
            assert place[undone] < place[off]
            assert standing_of[undone] == standing_of[off]


def test_moves_that_stay_in_their_bouts_are_put_in_order_within_them():
    """However hot it is, each bout keeps its moves; free, some go over a change."""
    rules = of_the_goal(generate(60, 3))
    bouts = arrange(rules)
    items = Items(rules, bouts, PlanSettings())

    def annealed(ordering):
        order = improve_order(ordering, items.start, items.sortings, 4000, (9.0, 5.0), 1)
        return [(each.standing, sorted(each.moves)) for each in items.bouts(order)]

    given = [(bout.standing, sorted(bout.moves)) for bout in bouts]
    assert annealed(items.in_their_bouts(items.ordering)) == given
    assert annealed(items.ordering) != given


def test_many_moves_stay_in_their_bouts_if_nobody_looked_for_what_would_hang(monkeypatch):
    """Where that was looked for they go over a change, and both orders are better than before."""
    monkeypatch.setattr(improving, "_MANY", 1)
    settings, v = PlanSettings(), generate(60, 3)
    rules = of_the_goal(v)
    begun = with_fewer_changes(rules, price(rules, arrange(rules), settings), settings)

    def bouts_of_moves(priced):
        bouts = bouts_of([(each.move, each.standing) for each in priced])
        return [(each.standing, sorted(each.moves)) for each in bouts]

    bouts = bouts_of([(each.move, each.standing) for each in begun])
    kept = improve(rules, bouts, settings)
    rules.would_hang = {}
    free = improve(rules, bouts, settings)
    assert bouts_of_moves(kept) == bouts_of_moves(begun)
    assert bouts_of_moves(free) != bouts_of_moves(begun)
    assert max(total_minutes(kept), total_minutes(free)) < total_minutes(begun)


@pytest.mark.parametrize("seed", [5, 6])
def test_moves_made_again_from_a_mark_are_made_as_from_the_beginning_of_the_bout(
    seed, monkeypatch
):
    """Marks after every move or none: the same moves, and the same is learnt."""
    settings = PlanSettings()
    rules = of_the_goal(generate(60 if seed == 5 else 100, seed))
    bouts = arrange_by_visits(rules, settings)
    items = Items(rules, bouts, settings)
    order = improve_order(
        items.ordering, items.start, items.sortings, 100 * len(items.start), (4.0, 0.2)
    )
    known = {move: at for at, bout in enumerate(bouts) for move in bout.moves}
    latest = {
        move: window.latest
        for move, window in Windows(rules).on([bout.standing for bout in bouts]).items()
    }
    went_back: list[int] = []
    go_back = settling._Settling._go_back_to
    monkeypatch.setattr(
        settling._Settling,
        "_go_back_to",
        lambda self, mark: (went_back.append(mark.made), go_back(self, mark)),
    )

    def settled(after: int):
        monkeypatch.setattr(settling, "_MARK", after)
        found = settle(rules, items.bouts(order), known, latest=latest)
        return found.made, found.lessons.keys(), found.works

    assert settled(1) == settled(10**9)
    assert max(went_back) > min(went_back) == 0


def test_items_cost_what_the_moves_do():
    """Zones, tools and helpers cost as items what they cost as priced moves."""
    v = vehicle(
        "a - frame: 1 clip; zone front; tool bar",
        "b - frame: 1 clip; zone rear; tool key",
        "c - frame: 1 clip; zone front; tool bar",
        Job("look", "look", JobKind.SURVEY, minutes=likely(1), crew=2),
        datum="frame",
    )
    rules, _ = rules_of(v)
    settings = PlanSettings()
    bouts = arrange(rules)
    items = Items(rules, bouts, settings)
    priced = price(rules, bouts, settings)
    setup = sum(each.setup_minutes for each in priced)
    assert cost_of(items.ordering, items.start) == setup > 0
    assert items.bouts(items.start) == list(bouts)
    assert items.order(bouts) == items.start
    assert items.is_bound_by(items.start)
    assert not items.is_bound_by(items.start[::-1])


def test_a_change_of_standing_that_nothing_needs_is_done_without():
    """Two parts were to come off on stands, in the midst of work on the wheels: they need not."""
    v = vehicle(
        *(f"p{n} - frame" for n in range(3)),
        "q - frame: 1 clip; in wheels",
        standing("wheels", stands=30.0),
        standing("stands", wheels=30.0),
        datum="frame",
    )
    rules, at = rules_of(v, standing="wheels")

    def off(*parts: str) -> tuple[int, ...]:
        return tuple(at[each] for p in parts for each in (f"joint:{p}-frame", f"part:{p}"))

    bouts = [Bout("wheels", off("p0")), Bout("stands", off("p1", "p2")), Bout("wheels", off("q"))]
    given = price(rules, bouts, PlanSettings())
    fewer = with_fewer_changes(rules, given, PlanSettings())
    assert {each.standing for each in fewer} == {"wheels"}
    assert total_minutes(given) - total_minutes(fewer) == 60.0
    assert with_fewer_changes(rules, fewer, PlanSettings()) == fewer


@pytest.mark.parametrize(("works_from", "free", "pinned"), [(9, 3, 6), (2, 8, 0), (1, 8, 0)])
def test_a_long_order_of_which_nothing_works_found_freely_is_soon_kept_in_its_bouts(
    monkeypatch, works_from, free, pinned
):
    """After three rounds for nothing; where a round worked by then, all of them are made."""
    told = []

    def one(rounds, each, tell) -> bool:
        told.append(rounds.pinned)
        if len(told) >= works_from:
            rounds.best = tuple(rounds.best)[:-1]  # another than at the beginning
        return False

    rules = of_the_goal(generate(60, 3))
    rules.would_hang = {}
    monkeypatch.setattr(improving, "_MANY", 1)
    monkeypatch.setattr(improving._Rounds, "_one", one)
    improve(rules, arrange(rules), PlanSettings())
    assert (told.count(False), told.count(True)) == (free, pinned)
