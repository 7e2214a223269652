"""The workshop's logbooks: appending, looking, the ports to the world, stores in memory."""
