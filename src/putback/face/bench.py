"""The bench for scripts and notebooks: one calculator asked, as on the command line."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from putback.bench.calculator import Answer


def work_out(calculator: str, /, **typed: str | float) -> "Answer":
    """Ask a calculator of the bench: ``work_out("adaptor", torque="80 Nm", wrench="400 mm")``.

    Parameters
    ----------
    calculator : str
        Its name; ``putback bench`` lists them.
    **typed : str or number
        What it asks for, as a person types it; a number without a unit only where the calculator
        takes one.

    Returns
    -------
    Answer
        With formula, figures, source, limits and cautions; ``answer["setting"]`` is a result in
        SI.

    Raises
    ------
    InputError
        Names each input that cannot be meant, or where the formula does not hold.
    """
    from putback.workshop.benching import every
    from putback.workshop.benching.reading import work_out as worked_out

    return worked_out(every.calculator(calculator), {name: _text(typed[name]) for name in typed})


def _text(value: str | float) -> str:
    """Write a value as a person would."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else format(value, ".17f").rstrip("0").rstrip(".")
