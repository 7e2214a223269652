"""Figures in the units that somebody wants on paper, and the closed words around them."""

from enum import StrEnum

from putback.errors import NotFound
from putback.paper.words import Words
from putback.units.show import System, length_text, mass_text, torque_text
from putback.vehicle.joint import Joint

_TAPE_M = 0.0254 / 16
"""What marks of a tape are apart [m]."""


class Units(StrEnum):
    """Whose units are printed."""

    BOTH = "both"  # metric, the other in brackets: tools come in both
    METRIC = "metric"
    IMPERIAL = "imperial"

    @property
    def _system(self) -> System:
        return System.IMPERIAL if self is Units.IMPERIAL else System.METRIC

    def torque(self, torque_nm: float) -> str:
        """Write a torque [N·m]."""
        return torque_text(torque_nm, self._system, both=self is Units.BOTH)

    def length(self, length_m: float) -> str:
        """Write a length [m]."""
        return length_text(length_m, self._system, both=self is Units.BOTH)

    def run_length(self, length_m: float) -> str:
        """Write how long a cable or pipe is [m]; inches as a tape has them, to a sixteenth."""
        metric = length_text(length_m)
        imperial = length_text(round(length_m / _TAPE_M) * _TAPE_M, System.IMPERIAL)
        if self is Units.BOTH:
            return f"{metric} ({imperial})"
        return metric if self is Units.METRIC else imperial

    def mass(self, mass_kg: float) -> str:
        """Write a mass [kg]."""
        return mass_text(mass_kg, self._system, both=self is Units.BOTH)


def units_called(name: str) -> Units:
    """Give the units of a name.

    Raises
    ------
    NotFound
        If there are none.
    """
    tidy = name.casefold().strip()
    if tidy not in set(Units):
        raise NotFound("units of paper", name, tuple(Units))
    return Units(tidy)


def torque_in(words: Words, units: Units, joint: Joint) -> str:
    """Say how tight a joint is made: figures, condition of the thread, by whose word.

    Empty where no figure is known.
    """
    tightening = joint.tightening
    figures = [units.torque(tightening.torque_nm)] if tightening.torque_nm is not None else []
    for stage in tightening.stages:
        if stage.torque_nm is not None:
            figures.append(words.stage.format(torque=units.torque(stage.torque_nm)))
        if stage.angle_deg is not None:
            figures.append(words.then_angle.format(angle=f"{stage.angle_deg:g}"))
    if not figures:
        return ""
    origin = (
        words.figure_by.format(origin=tightening.origin) if tightening.origin else words.no_origin
    )
    return ", ".join(filter(None, (*figures, tightening.condition, origin)))
