"""How tight a joint is made in the end, in words."""

from putback.units.show import torque_text
from putback.vehicle.joint import Joint


def torque_words(joint: Joint) -> str:
    """Say how tight, in what condition of the thread and by whose word."""
    tightening = joint.tightening
    figures = [torque_text(tightening.torque_nm)] if tightening.torque_nm is not None else []
    for stage in tightening.stages:
        if stage.torque_nm is not None:
            figures.append(f"stage {torque_text(stage.torque_nm)}")
        if stage.angle_deg is not None:
            figures.append(f"then {stage.angle_deg:g}°")
    if not figures:
        return ""
    origin = f"{tightening.origin} figure" if tightening.origin else "origin not said"
    return ", ".join(filter(None, (*figures, tightening.condition, origin)))
