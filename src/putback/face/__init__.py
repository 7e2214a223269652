"""The library's face: a garage, the logbooks of its vehicles, and what can be asked of one.

A thin cover over the use cases in `putback.workshop`, for scripts and notebooks; its names are
those of ``import putback``. Things go by what a person calls them, as on the command line.
"""

from putback.face.garage import (
    Garage,
    VehicleLog,
    garage_in_memory,
    open_bundle,
    open_garage,
)

__all__ = ["Garage", "VehicleLog", "garage_in_memory", "open_bundle", "open_garage"]
