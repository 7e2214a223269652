"""How surely a preload is met, drawn: a bar for each way of tightening, and the proof load."""

from putback.bench import both
from putback.bench.calculator import Drawing, Shape
from putback.bench.torque.conditions import scatters

_ROW = 0.11
"""From one bar to the next, of the picture's width."""


def by_method(preload_n: float, proof_n: float) -> Drawing:
    """Draw from which preload to which each way of tightening reaches.

    Parameters
    ----------
    preload_n : float
        What is aimed at, [N].
    proof_n : float
        The bolt's proof load, [N]; the picture is one unit wide from nought to it.
    """
    aim, found = preload_n / proof_n, scatters()
    row = _ROW * max(1.0, *(aim * (1 + scatter) for _, scatter in found))
    bottom = -row * len(found)
    shapes = [
        Shape("thin", ((0.0, 0.0), (0.0, bottom))),
        Shape("outline", ((1.0, 0.0), (1.0, bottom))),
        Shape("hidden", ((aim, 0.0), (aim, bottom))),
    ]
    for number, (method, scatter) in enumerate(found):
        height = -row * (number + 0.7)
        low, high = aim * (1 - scatter), aim * (1 + scatter)
        shapes.append(Shape("warn" if high > 1 else "accent", ((low, height), (high, height))))
        shapes.append(Shape("text", ((0.0, height),), method))
    shapes.append(Shape("text", ((1.0, 0.0),), "proof load"))
    return Drawing(
        "How surely the preload is met",
        f"To the right the preload, a bar for each way of tightening. The dashed line is "
        f"{both.force(preload_n)}, the other upright line the proof load, {both.force(proof_n)}; "
        "a broken bar goes beyond it.",
        tuple(shapes),
    )
