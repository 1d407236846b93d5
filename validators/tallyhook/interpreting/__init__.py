"""The parts of `tallyhook.interpret`."""
