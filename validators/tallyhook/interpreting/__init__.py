"""The parts of `tallyhook.interpreting.interpret`."""
