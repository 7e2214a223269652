"""What no order of these steps can save: a lower bound of their set-up."""

from putback.planning.rebuild.network import Network


def least_setup(network: Network) -> float:
    """The least set-up that any order of the steps needs [minutes].

    Each further zone is entered once, each further tool taken up once, the helpers are called once
    if anything wants them, and the dearest standing to get to has to be got to once.
    """
    zones = {zone for zone in network.zone if zone is not None}
    tools = {tool for tool in network.tool if tool}
    settings = network.settings
    return (
        settings.zone_minutes * max(0, len(zones) - 1)
        + settings.tool_minutes * max(0, len(tools) - 1)
        + settings.helper_minutes * any(network.helped)
        + _standing(network)
    )


def _standing(network: Network) -> float:
    """The cheapest way to the dearest standing, if all could be entered [minutes]."""
    stands = network.stands
    if stands.start is None:
        return 0.0  # it may begin where that standing is
    ways = stands.least(stands.start, frozenset(stands.all))
    least = [
        min((ways[each] for each in allowed if each in ways), default=0.0)
        for allowed in network.allowed
        if allowed is not None
    ]
    return max(least, default=0.0)
