"""Make the demonstration vehicle from the scenario it was invented in.

``python -m scripts.map_scenario`` writes src/putback/vehicle/data/demo-vehicle.toml from
tests/published/data/scenario.json. The scenario speaks in tasks of several joints; a vehicle
speaks of joints, parts and facts. Every decision between the two stands in one of these modules,
as data where it can, and docs/demo-vehicle.md argues for them.
"""
