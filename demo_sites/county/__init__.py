"""The parts of the generator of the invented county."""
