"""The bench sums as pages: forms made from the engine's register, and the shop's own rules."""
