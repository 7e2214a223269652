"""Balance: what carries the vehicle, how far it is from tipping, now or along a plan."""

from collections.abc import Iterator
from enum import StrEnum
from math import degrees
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.complete import complete_goal, complete_standing
from putback.cli.context import AsJson, session
from putback.cli.output import count, emit, sentence
from putback.cli.output import say as say_line
from putback.cli.plan import AllSteps, working
from putback.vehicle.ids import StandingId

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.state import State
    from putback.logbook.weighing import Verdict
    from putback.planning.balance import Balance
    from putback.planning.balance_over import StepBalance
    from putback.planning.plan import Plan

SURELY = 2
"""Uncertainties are shown as so many standard uncertainties: what is outside is rare."""


class Which(StrEnum):
    """Along which plan."""

    STRIP = "strip"
    REBUILD = "rebuild"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        "balance",
        help="Mass, centre of gravity, loads and margin to tipping: now, or along a plan.",
        short_help="What carries the vehicle, and how far it is from tipping.",
    )(balance)


def balance(
    context: typer.Context,
    standing: Annotated[
        str | None,
        typer.Option(
            help="How it stands; else as it was logged.", autocompletion=complete_standing
        ),
    ] = None,
    plan: Annotated[Which | None, typer.Option(help="Along this plan, step by step.")] = None,
    goal: Annotated[
        str | None,
        typer.Option(help="Goal of the strip; else the next one.", autocompletion=complete_goal),
    ] = None,
    everything: AllSteps = False,
    as_json: AsJson = False,
) -> None:
    """Show the balance."""
    from putback.logbook.weighing import weighed
    from putback.planning.balance import balance as balance_now
    from putback.planning.balance import support_now
    from putback.planning.balance_over import balance_over, first_too_far, first_unsure, worst
    from putback.planning.plan import USUAL
    from putback.workshop.plans.balance_words import LOOK, doubts, is_wrong, margin_words
    from putback.workshop.saying.names import find

    now = session(context).state
    stood = StandingId(find(now, "standing", standing)) if standing else now.standing.standing
    found = balance_now(now.vehicle, now, stood)
    add = support_now(now.vehicle, now, stood)
    verdicts = weighed(now.vehicle, now.weighings).verdicts
    document: dict[str, object] = {
        "standing": stood,
        "balance": found,
        "add": add,
        "weighings": verdicts,
        "wrong": is_wrong(now, stood),
        "least_margin_m": USUAL.least_margin_m,
        **dict.fromkeys(("plan", "goal", "steps", "first", "unsure", "least")),
    }
    if plan is None:

        def say(out: "Console") -> None:
            say_wrong(out, now, stood)
            say_now(out, now, found, stood)
            if add is not None:
                say_line(out, add.words, "red", lead="  ")
            say_weighings(out, verdicts)
            out.print(LOOK, style="dim")

        emit("balance", document, say, as_json=as_json)
        return
    planned = _planned(context, plan, goal)
    steps = balance_over(now.vehicle, now, planned)
    too_far, unsure, least = first_too_far(steps), first_unsure(steps), worst(steps)

    def say_plan(out: "Console") -> None:
        say_wrong(out, now, stood)
        say_along(out, now, steps, everything=everything)
        if least is not None:
            out.print(
                sentence(f"least: {margin_words(least.after)}, after {named(now, least)}"),
                markup=False,
            )
        if too_far is not None:
            words = too_far.add.words if too_far.add else "stand it otherwise"
            say_line(out, f"First too far: {named(now, too_far)}: {words}", "red")
        if unsure is not None:
            out.print(f"Not sure: {named(now, unsure)}:", markup=False)
            for words in doubts(now, unsure.after):
                say_line(out, words, lead="  ")
        say_weighings(out, verdicts)
        out.print(LOOK, style="dim")

    along = {
        "plan": plan,
        "goal": planned.goal,
        "steps": steps,
        "first": too_far,
        "unsure": unsure,
        "least": least,
    }
    emit("balance", document | along, say_plan, as_json=as_json)


def _planned(context: typer.Context, which: Which, goal: str | None) -> "Plan":
    """Give the plan that is asked for: of the strip the one that is followed."""
    from putback.planning.rebuild import plan_rebuild
    from putback.workshop.plans.at_hand import plan_at_hand
    from putback.workshop.plans.plans import goal_called, settings_of_today

    run = session(context)
    now = run.state
    with working() as progress:
        if which is Which.REBUILD:
            settings = settings_of_today(run.workshop)
            return plan_rebuild(now.vehicle, now, settings, progress)
        wanted = goal_called(now, goal)
        return plan_at_hand(run.workshop, run.logbook, wanted, progress).plan


def say_now(out: "Console", now: "State", found: "Balance", stood: StandingId | None) -> None:
    """Print one balance."""
    from putback.workshop.plans.balance_words import doubts, margin_words

    if not found.mass_kg:
        out.print("Nothing that is on has a mass.")
        return
    out.print(
        now.name_of(f"standing:{stood}") if stood else "Nobody said how it stands.", style="bold"
    )
    for line in _sums(found):
        out.print(f"  {line}", markup=False)
    for load in found.loads:
        bears = next(
            each.bears_on
            for each in now.vehicle.standings[stood or StandingId("")].supports
            if each.id == load.support
        )
        of = f" of {load.rating_kg:.0f}" if load.rating_kg else ""
        style = "red" if load.support in found.overloaded else ""
        out.print(
            f"  {load.support:<12} {load.load_kg:6.0f} ± {SURELY * load.sigma_kg:.0f} kg{of}"
            f"  {now.name_of(f'part:{bears}')}",
            style=style,
            markup=False,
        )
    for support in found.loose:
        out.print(f"  {support:<12} carries nothing of it", style="red", markup=False)
    if found.margin_m is not None or found.loose:
        out.print(sentence(margin_words(found)), markup=False)
    for words in doubts(now, found):
        say_line(out, words, lead="  ")


def say_wrong(out: "Console", now: "State", stood: StandingId | None) -> None:
    """Print that the supports are in the wrong place, whatever the figures say."""
    from putback.workshop.plans.balance_words import is_wrong

    if stood and is_wrong(now, stood):
        note = now.vehicle.standings[stood].note
        words = "the supports are where they should not be"
        lead = f"{now.name_of(f'standing:{stood}')}: "
        say_line(out, f"{words} ({note})" if note else words, "red", lead=lead)


def _sums(found: "Balance") -> Iterator[str]:
    from putback.planning.weight.add_support import place_words

    yield f"{found.mass_kg:.0f} ± {SURELY * found.mass_sigma_kg:.0f} kg"
    if found.cg_m is None:
        yield "nobody said where anything that is on lies: no centre of gravity"
    else:
        x, y, z = found.cg_m
        yield f"centre of gravity {place_words((x, y))}, {z:.2f} m up"
    if found.front_share is not None:
        yield f"{100 * found.front_share:.0f} % on the front axle, on its wheels"


def say_weighings(out: "Console", verdicts: "tuple[Verdict, ...]") -> None:
    """Print what became of each weighing."""
    for each in verdicts:
        day = each.weighing.said.entry[:8]
        style = "red" if each.contradicts else "dim"
        say_line(out, each.words, style, lead=f"weighed {day}: ")


def say_along(
    out: "Console",
    now: "State",
    steps: "tuple[StepBalance, ...]",
    *,
    everything: bool,
) -> None:
    """Print a table: the steps at which loads change, standing by standing."""
    shown: list[StepBalance] = []
    for each in steps:
        if everything or not shown or not each.holds or _differs(shown[-1], each):
            shown.append(each)
    at: StandingId | None = StandingId("")
    for each in shown:
        if each.standing != at:
            at = each.standing
            out.print(
                now.name_of(f"standing:{at}") if at else "Anyhow", style="bold", markup=False
            )
            _say_row(out, "step", "", "kg", [s.support for s in each.after.loads], "mm", "tips at")
        found = each.after
        name = f"{each.action} {now.name_of(each.what)}"
        tips = found.tips_at_rad
        _say_row(
            out,
            str(each.index + 1),
            name if len(name) <= _NAME_WIDTH else f"{name[: _NAME_WIDTH - 3]}...",
            f"{found.mass_kg:.0f}",
            [f"{load.load_kg:.0f}" for load in found.loads],
            "" if found.margin_m is None else f"{1000 * found.margin_m:.0f}",
            "" if tips is None or tips < 0 else f"{degrees(tips):.0f}°",
            style="" if each.holds else "red",
        )
    if not shown:
        out.print("Nothing is left to do.")
    hidden = len(steps) - len(shown)
    if hidden:
        words = (
            f"... {count(hidden, 'step')} that change less than {_LEAST_SHOWN_KG:.0f} kg: --all"
        )
        out.print(words, style="dim", markup=False)


def _say_row(
    out: "Console",
    step: str,
    name: str,
    mass: str,
    loads: "list[str]",
    margin: str,
    tips: str,
    style: str = "",
) -> None:
    """Print one line of the table: kg on each support, the margin in mm, the slope."""
    columns = "".join(f"{load:>{_LOAD_WIDTH}}" for load in loads)
    line = f"{step:>4}  {name:<{_NAME_WIDTH}} {mass:>5}{columns} {margin:>5} {tips:>7}"
    out.print(line.rstrip(), style=style, markup=False, soft_wrap=True)


_LOAD_WIDTH = 9
_NAME_WIDTH = 32
_LEAST_SHOWN_KG = 10.0
_LEAST_SHOWN_M = 0.02


def _differs(last: "StepBalance", step: "StepBalance") -> bool:
    """Whether a step is worth a line: it changes the standing, or mass or margin by something."""
    one, other = last.after, step.after
    lighter = abs(one.mass_kg - other.mass_kg) >= _LEAST_SHOWN_KG
    moved = abs((one.margin_m or 0.0) - (other.margin_m or 0.0)) >= _LEAST_SHOWN_M
    return step.standing != last.standing or lighter or moved or one.loose != other.loose


def named(now: "State", step: "StepBalance") -> str:
    """Name a step in a sentence."""
    return f"step {step.index + 1}, {step.action} {now.name_of(step.what)}"
