"""Torque and preload of a screw thread, by the friction of thread and head.

::

    M  = F (P / (2 π) + μG d2 / (2 cos α) + μK DKm / 2)              VDI 2230-1
    T  = F (1/2 (P + π μ' d2) / (π - μ' P / d2) + μK DKm / 2)        ISO 16047, μ' = μG / cos α
    T  = K F d                                                        nut factor
    FM = ν Rp A0 / √(1 + 3 [3/2 (d2 / d0) (P / (π d2) + μG / cos α)]²)   VDI 2230-1

α is half the flank angle; at 60 degrees the first reads F (0.159 P + 0.577 d2 μG + DKm μK / 2).
A0 is the stress area, d0 its circle. The last gives the preload at which pull and twist together
come to a share ν of the yield: 0.9 in the tables of VDI 2230-1.
"""

from math import cos, pi, sqrt

from putback.bench.thread_form import Dimensions

USUAL_SHARE = 0.9
"""Of the yield strength, in VDI 2230-1's tables."""


def torque_nm(
    preload_n: float,
    of: Dimensions,
    thread_friction: float,
    bearing_friction: float,
    bearing_mean_m: float,
) -> float:
    """Give the tightening torque for a preload, by VDI 2230-1 [N·m].

    Parameters
    ----------
    preload_n : float
        F, [N].
    of : Dimensions
        The thread's.
    thread_friction, bearing_friction : float
        μG and μK, [-].
    bearing_mean_m : float
        DKm, halfway between the outside of the head's face and the hole, [m].
    """
    return preload_n * (
        of.pitch_m / (2 * pi)
        + thread_friction * of.pitch_diameter_m / (2 * cos(of.form.half_angle_rad))
        + bearing_friction * bearing_mean_m / 2
    )


def torque_exact_nm(
    preload_n: float,
    of: Dimensions,
    thread_friction: float,
    bearing_friction: float,
    bearing_mean_m: float,
) -> float:
    """Give the same by ISO 16047, which leaves no small angle out [N·m]."""
    flank = thread_friction / cos(of.form.half_angle_rad)
    thread_m = (of.pitch_m + pi * flank * of.pitch_diameter_m) / (
        2 * (pi - flank * of.pitch_m / of.pitch_diameter_m)
    )
    return preload_n * (thread_m + bearing_friction * bearing_mean_m / 2)


def nut_factor_torque_nm(nut_factor: float, preload_n: float, major_m: float) -> float:
    """Give T = K F d [N·m]."""
    return nut_factor * preload_n * major_m


def twist_over_pull(of: Dimensions, thread_friction: float) -> float:
    """Give the shear stress of tightening over the tensile stress [-], both over the circle d0.

    The shear is that of a section that has yielded throughout (π/12 d0³), as VDI 2230-1 has it.
    """
    slope = of.pitch_m / (pi * of.pitch_diameter_m) + thread_friction / cos(of.form.half_angle_rad)
    return 1.5 * of.pitch_diameter_m / of.stress_diameter_m * slope


def preload_at_yield_n(
    of: Dimensions, yield_pa: float, thread_friction: float, share: float = USUAL_SHARE
) -> float:
    """Give the preload at which pull and twist together reach a share of the yield [N].

    Parameters
    ----------
    of : Dimensions
        The thread's.
    yield_pa : float
        Rp 0.2, [Pa].
    thread_friction : float
        μG, [-].
    share : float
        ν, [-].
    """
    twist = twist_over_pull(of, thread_friction)
    return share * yield_pa * of.stress_area_m2 / sqrt(1 + 3 * twist**2)


def share_of_yield(
    preload_n: float, of: Dimensions, yield_pa: float, thread_friction: float
) -> float:
    """Give how much of the yield a preload uses while it is tightened, twist included [-]."""
    return preload_n / preload_at_yield_n(of, yield_pa, thread_friction, 1.0)
