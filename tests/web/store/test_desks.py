"""What every planner's desk promises: in memory, on SQLite and on PostgreSQL alike."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from putback.errors import NotFound
from putback.logbook.entries.base import LogbookId
from putback.workshop.desk.memory import MemoryDesk
from putback.workshop.desk.port import (
    GIVEN_UP,
    HISTORY,
    MOST_LOST,
    STALE_S,
    Desk,
    Question,
    Stage,
    Trouble,
)
from putback.workshop.logbooks.memory import MemoryEntryStore
from tests.stores import ANN, KINDS, PLOVER, Watch

HOW = Question(PLOVER, "strip", '{"goal": "bare"}', "7 2031-05-02")
ELSE = Question(PLOVER, "reach", '{"what": "part:pump"}', "7 2031-05-02")
WRONG = Trouble("the goal cannot be reached", "goal bare", "leave the pump on")


@pytest.fixture
def watch() -> Watch:
    """The clock of the desk."""
    return Watch()


@pytest.fixture(params=KINDS)
def desk(request, opener, watch) -> Desk:
    """An empty desk of every kind, in a store with one logbook."""
    if request.param == "memory":
        store = MemoryEntryStore()
        store.create_logbook(PLOVER, "Plover", ANN)
        return MemoryDesk(store, watch)
    opened = opener.open(request.param)
    from putback.web.store.desk_store import DjangoDesk  # tables exist once Django is configured

    opened.entries.create_logbook(PLOVER, "Plover", ANN)
    return DjangoDesk(opened.desk.alias, opened.desk.name, watch)


def test_a_question_lies_there_once(desk):
    """Asked twice it is one slip; with other arguments, or on another basis, it is another."""
    slip = desk.ask(HOW)
    assert (slip.question, slip.stage, slip.answer) == (HOW, Stage.WAITING, None)
    assert desk.ask(HOW) == slip
    assert desk.look(slip.id) == slip
    later = Question(HOW.logbook, HOW.kind, HOW.args, "8 2031-05-02")
    assert len({slip.id, desk.ask(ELSE).id, desk.ask(later).id}) == 3


def test_a_question_on_an_older_basis_waits_no_more(desk):
    """Only the newest of its like is answered; what is in work already is let be."""
    olds = [Question(PLOVER, HOW.kind, HOW.args, f"{at} 2031-05-02") for at in range(3)]
    desk.ask(olds[0])
    desk.claim("one")
    desk.ask(ELSE)
    desk.ask(olds[1])
    desk.ask(olds[2])
    slips = [desk.look(each.id) for each in (*olds, ELSE)]
    stages = [slip and slip.stage for slip in slips]
    assert stages == [Stage.IN_WORK, None, Stage.WAITING, Stage.WAITING]


def test_nobody_asks_of_a_logbook_that_is_not_there(desk):
    """It is refused as everywhere."""
    with pytest.raises(NotFound, match="no logbook 'nowhere'"):
        desk.ask(Question(LogbookId("nowhere"), "strip"))


def test_what_nobody_asked_is_not_there(desk):
    """A strange slip is no error to look for or to cancel."""
    assert desk.look(HOW.id) is None
    desk.cancel(HOW.id)
    assert desk.claim("one") is None


def test_the_oldest_question_is_taken_first(desk, watch):
    """Each is given to one planner, in the order of asking; then nothing is left."""
    desk.ask(ELSE)
    watch.put_on(seconds=1)
    desk.ask(HOW)
    first, second = desk.claim("one"), desk.claim("two")
    assert (first.question, first.stage) == (ELSE, Stage.IN_WORK)
    assert second.question == HOW
    assert desk.claim("one") is None


def test_an_answer_is_kept_as_it_was_given(desk):
    """Bytes come back as they are, and the question is not taken again."""
    slip = desk.ask(HOW)
    desk.claim("one")
    desk.finish(slip.id, "one", b'{"minutes": 12.5}\x00\xff')
    found = desk.ask(HOW)
    assert (found.stage, found.answer) == (Stage.ANSWERED, b'{"minutes": 12.5}\x00\xff')
    assert desk.claim("one") is None


def test_trouble_is_told_in_its_three_parts(desk):
    """What, where and how to mend it; asked once more it stays, asked *again* it waits anew."""
    slip = desk.ask(HOW)
    desk.claim("one")
    desk.fail(slip.id, "one", WRONG)
    found = desk.ask(HOW)
    assert (found.stage, found.trouble) == (Stage.FAILED, WRONG)
    anew = desk.ask(HOW, again=True)
    assert (anew.stage, anew.trouble) == (Stage.WAITING, None)
    assert desk.claim("two").question == HOW


def test_odd_characters_are_no_trouble(desk):
    """What somebody typed may stand in what is wrong, whatever it was."""
    slip = desk.ask(HOW)
    desk.claim("one")
    assert desk.report(slip.id, "one", "試作 \x00", None)
    desk.fail(slip.id, "one", Trouble("no part 'a\x00b'"))
    assert desk.look(slip.id).trouble.fault in ("no part 'a\x00b'", "no part 'a\ufffdb'")


def test_an_answer_is_thrown_away_when_it_is_asked_again(desk):
    """The old answer is gone at once; what is in work is left to whoever has it."""
    slip = desk.ask(HOW)
    desk.claim("one")
    assert desk.ask(HOW, again=True).stage is Stage.IN_WORK
    desk.finish(slip.id, "one", b"1")
    assert desk.ask(HOW, again=True).answer is None


def test_progress_is_seen_by_whoever_looks(desk):
    """Words and how far; the planner learns that it may go on."""
    slip = desk.ask(HOW)
    desk.claim("one")
    assert desk.report(slip.id, "one", "choosing a way", 0.25) is True
    found = desk.look(slip.id)
    assert (found.words, found.fraction) == ("choosing a way", 0.25)
    assert desk.report(slip.id, "one", "still", None) is True
    assert desk.look(slip.id).fraction is None


def test_a_planner_learns_that_nobody_wants_it_any_more(desk):
    """After a cancel the next report says stop, and an answer that comes all the same is lost."""
    slip = desk.ask(HOW)
    desk.claim("one")
    desk.cancel(slip.id)
    assert desk.report(slip.id, "one", "on", 0.5) is False
    desk.finish(slip.id, "one", b"1")
    found = desk.look(slip.id)
    assert (found.stage, found.answer) == (Stage.CANCELLED, None)


def test_what_was_cancelled_can_be_asked_anew(desk):
    """Looking at it does not begin it once more; asked again it waits as if nobody had asked."""
    slip = desk.ask(HOW)
    desk.cancel(slip.id)
    assert desk.claim("one") is None
    assert desk.ask(HOW).stage is Stage.CANCELLED
    assert desk.ask(HOW, again=True).stage is Stage.WAITING
    assert desk.claim("one").question == HOW


def test_an_answer_cannot_be_cancelled(desk):
    """It is there, and stays."""
    slip = desk.ask(HOW)
    desk.claim("one")
    desk.finish(slip.id, "one", b"1")
    desk.cancel(slip.id)
    assert desk.look(slip.id).stage is Stage.ANSWERED


def test_the_question_of_a_dead_planner_is_taken_by_another(desk, watch):
    """Not before it has been silent for long; what the dead one still says counts no more."""
    slip = desk.ask(HOW)
    desk.claim("one")
    watch.put_on(seconds=STALE_S - 1)
    assert desk.report(slip.id, "one", "slow", None)
    watch.put_on(seconds=STALE_S - 1)
    assert desk.claim("two") is None
    watch.put_on(seconds=2)
    assert desk.claim("two").question == HOW
    assert desk.report(slip.id, "one", "back again", None) is False
    desk.fail(slip.id, "one", WRONG)
    desk.finish(slip.id, "one", b"1")
    assert desk.look(slip.id).stage is Stage.IN_WORK
    desk.finish(slip.id, "two", b"2")
    assert desk.look(slip.id).answer == b"2"


def test_a_question_that_kills_its_planners_is_given_up(desk, watch):
    """After the third nobody is given it any more, it says so, and others are answered."""
    slip = desk.ask(HOW)
    watch.put_on(seconds=1)
    desk.ask(ELSE)
    for at in range(MOST_LOST):
        assert desk.claim(f"dies {at}").question == HOW
        assert desk.report(slip.id, f"dies {at}", "planning", 0.5)
        watch.put_on(seconds=STALE_S + 1)
    assert desk.claim("lives").question == ELSE
    found = desk.look(slip.id)
    assert (found.stage, found.trouble) == (Stage.FAILED, GIVEN_UP)
    assert desk.ask(HOW).stage is Stage.FAILED
    assert desk.claim("lives too") is None


def test_a_question_that_was_given_up_can_be_asked_again(desk, watch):
    """It has all its tries anew; and a planner that only went home is none that died."""
    slip = desk.ask(HOW)
    for at in range(MOST_LOST - 1):
        desk.claim(f"dies {at}")
        watch.put_on(seconds=STALE_S + 1)
    desk.claim("goes home")
    desk.give_back(slip.id, "goes home")
    for again in (False, True):
        if again:
            assert desk.look(slip.id).stage is Stage.FAILED
            assert desk.ask(HOW, again=True).stage is Stage.WAITING
        for at in range(MOST_LOST):
            assert desk.claim(f"dies {at}").question == HOW
            watch.put_on(seconds=STALE_S + 1)
        assert desk.claim("lives") is None


def test_a_planner_that_goes_home_gives_its_question_back(desk):
    """It waits again at once; only whoever has it can give it back."""
    slip = desk.ask(HOW)
    desk.claim("one")
    desk.report(slip.id, "one", "half", 0.5)
    desk.give_back(slip.id, "two")
    assert desk.claim("two") is None
    desk.give_back(slip.id, "one")
    assert desk.look(slip.id) == slip
    assert desk.claim("two").question == HOW


def test_the_last_answers_of_a_kind_are_found(desk, watch):
    """The newest first, so many as wanted; what failed or waits is none."""
    for at in range(3):
        each = Question(PLOVER, "strip", "{}", f"{at}")
        watch.put_on(seconds=1)
        slip = desk.ask(each)
        desk.claim("one")
        desk.finish(slip.id, "one", f"{at}".encode())
    desk.ask(HOW)
    assert [each.answer for each in desk.answered(PLOVER, "strip", 2)] == [b"2", b"1"]
    assert desk.answered(PLOVER, "reach") == ()


def test_old_answers_are_thrown_away(desk, watch):
    """What is closed for long goes; what waits stays, however old."""
    closed, left = desk.ask(HOW), desk.ask(ELSE)
    desk.cancel(closed.id)
    watch.put_on(minutes=10)
    desk.clear(older_than_s=601)
    assert desk.look(closed.id) is not None
    desk.clear(older_than_s=599)
    assert desk.look(closed.id) is None
    assert desk.look(left.id) == left


def test_no_two_planners_are_given_one_question(desk):
    """Four that claim at once take twelve questions, each once."""
    for at in range(12):
        desk.ask(Question(PLOVER, "strip", f'{{"at": {at}}}'))

    def take(planner: str) -> list[str]:
        taken = []
        while (slip := desk.claim(planner)) is not None:
            taken.append(slip.question.args)
        if hasattr(desk, "close"):
            desk.close()
        return taken

    with ThreadPoolExecutor(4) as pool:
        taken = [args for each in pool.map(take, map(str, range(4))) for args in each]
    assert sorted(taken) == sorted(f'{{"at": {at}}}' for at in range(12))


def test_papers_are_given_to_who_makes_them_and_all_else_to_planners(desk):
    """No plan waits behind a paper, and no paper is taken by a planner without the photos."""
    paper = desk.ask(Question(PLOVER, HISTORY, '{"form": "pdf"}', "7 2031-05-02"))
    assert desk.claim("planner") is None
    plan = desk.ask(HOW)
    assert desk.claim("maker", papers=True).id == paper.id
    assert desk.claim("maker", papers=True) is None
    assert desk.claim("planner").id == plan.id


def test_the_last_questions_are_found_whatever_became_of_them(desk, watch):
    """The newest first, of the kind alone, so many as are wanted."""
    papers = []
    for at in range(3):
        watch.put_on(seconds=1)
        said = Question(PLOVER, HISTORY, f'{{"form": "{at}"}}', "7 2031-05-02")
        papers.append(desk.ask(said).id)
    desk.ask(HOW)
    desk.cancel(papers[0])
    desk.claim("maker", papers=True)
    desk.finish(papers[1], "maker", b"{}")
    found = desk.asked(PLOVER, HISTORY, 9)
    assert [each.id for each in found] == papers[::-1]
    assert [each.stage for each in found] == [Stage.WAITING, Stage.ANSWERED, Stage.CANCELLED]
    assert [each.id for each in desk.asked(PLOVER, HISTORY, 2)] == papers[:0:-1]
    assert [each.id for each in desk.answered(PLOVER, HISTORY)] == [papers[1]]


def test_a_slip_tells_how_many_died_over_it(desk, watch):
    """None at first; whoever takes it after a dead one can say that it is begun anew."""
    slip = desk.ask(HOW)
    assert desk.claim("one").lost == 0
    watch.put_on(seconds=STALE_S + 1)
    assert desk.claim("two").lost == 1
    assert desk.look(slip.id).lost == 1
    desk.give_back(slip.id, "two")
    assert desk.look(slip.id).lost == 0
