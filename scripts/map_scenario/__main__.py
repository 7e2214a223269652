"""Write the demonstration vehicle, or show how each order of the scenario was kept."""

import argparse

from scripts.map_scenario.build import build, text
from scripts.map_scenario.source import VEHICLE, Scenario


def main() -> None:
    """Write the file; with ``--edges`` print the table instead."""
    parser = argparse.ArgumentParser(prog="scripts.map_scenario", description=__doc__)
    parser.add_argument("--edges", action="store_true", help="how each order was kept")
    asked = parser.parse_args()
    vehicle, table = build(Scenario())
    if asked.edges:
        for row in table:
            print(f"{row.edge:<10} {row.pair:<34} {row.how:<60} ({row.why})")
        return
    VEHICLE.write_text(text(vehicle), encoding="utf-8")
    print(f"{VEHICLE.name}: {len(vehicle.parts)} parts, {len(vehicle.joints)} joints")


if __name__ == "__main__":
    main()
