"""What a tightened bolt bears of an outside load that pulls its joint apart.

::

    C  = kb / (kb + km)          the bolt's share of the load
    σi = F / As                  stress by preload alone
    σb = (F + C P) / As          stress under the load, while the joint stays closed
    P0 = F / (1 - C)             load at which the joint opens

F is the preload, P the load on one bolt, kb and km the stiffness of bolt and of what it clamps, As
the stress area. Source: Shigley, 9th ed., 8-5 and 8-7. Where C is not known the bolt is taken to
bear all of the load, and the joint to open at the preload: the worst of either.
"""

from dataclasses import dataclass

from putback.bench.calculator import Figure, OutsideLimits, Quantity, Step

SOURCE = "Shigley, 9th ed., 8-5 and 8-7"


def joint_constant(bolt_stiffness: float, joint_stiffness: float) -> float:
    """Give C, the share of a load that the bolt bears [-]; both stiffnesses in one unit."""
    return bolt_stiffness / (bolt_stiffness + joint_stiffness)


def bolt_stress_pa(
    preload_n: float, area_m2: float, load_n: float = 0.0, constant: float = 1.0
) -> float:
    """Give the tensile stress of a bolt under preload and load [Pa].

    Parameters
    ----------
    preload_n, load_n : float
        F and P, of one bolt, [N].
    area_m2 : float
        As, [m²].
    constant : float
        C, [-].
    """
    return (preload_n + constant * load_n) / area_m2


def opens_at_n(preload_n: float, constant: float) -> float:
    """Give the load at which a joint opens [N]."""
    return preload_n / (1 - constant)


@dataclass(frozen=True, slots=True)
class Loaded:
    """A load on one bolt [N]; C where the stiffnesses are known."""

    load_n: float
    constant: float | None

    @property
    def borne(self) -> float:
        """What share of the load the bolt bears [-], all if nobody knows."""
        return 1.0 if self.constant is None else self.constant

    def opens_at_n(self, preload_n: float) -> float:
        """Load at which the joint opens [N], the preload if nobody knows C."""
        return opens_at_n(preload_n, self.constant or 0.0)

    def figures(
        self, usual_n: float, low_n: float, high_n: float, area_m2: float, proof_pa: float
    ) -> tuple[Figure, ...]:
        """Tell the bolt's stress and when the joint opens, for a preload and its spread [N]."""
        usual, low, high = (
            bolt_stress_pa(each, area_m2, self.load_n, self.borne)
            for each in (usual_n, low_n, high_n)
        )
        return (
            Figure("borne", "Of the load the bolt bears", self.borne, Quantity.SHARE),
            Figure(
                "loaded_stress", "Stress under the load", usual, Quantity.STRESS,
                low=low, high=high,
            ),
            Figure(
                "loaded_share", "Of the proof stress", usual / proof_pa, Quantity.SHARE,
                low=low / proof_pa, high=high / proof_pa,
            ),
            Figure(
                "opens", "The joint opens at", self.opens_at_n(usual_n), Quantity.FORCE,
                low=self.opens_at_n(low_n), high=self.opens_at_n(high_n),
            ),
        )  # fmt: skip

    def step(self, preload_n: float, area_m2: float) -> Step:
        """Show how the stress comes about."""
        return Step(
            "σb = (F + C P) / As",
            {
                "F": Figure("F", "Preload", preload_n, Quantity.FORCE),
                "C": Figure("C", "Share that the bolt bears", self.borne),
                "P": Figure("P", "Load on one bolt", self.load_n, Quantity.FORCE),
                "As": Figure("As", "Stress area", area_m2, Quantity.AREA),
            },
            Figure(
                "σb",
                "Stress under the load",
                bolt_stress_pa(preload_n, area_m2, self.load_n, self.borne),
                Quantity.STRESS,
            ),
            SOURCE,
        )


def loaded(load_n: float | None, kb: float | None, km: float | None) -> Loaded | None:
    """Take a load and the stiffnesses of bolt and joint, as far as they are given.

    Raises
    ------
    OutsideLimits
        One stiffness without the other, or stiffnesses without a load.
    """
    if (kb is None) != (km is None):
        missing = "kb" if kb is None else "km"
        raise OutsideLimits(
            "one stiffness says nothing without the other", mend="give both", field=missing
        )
    if load_n is None:
        if kb is not None:
            raise OutsideLimits(
                "stiffnesses are of use only under a load", mend="give the load", field="load"
            )
        return None
    return Loaded(load_n, None if kb is None or km is None else joint_constant(kb, km))
