"""The central system's own list against the register, and what was decided."""
