"""Does renewing a leg pay, does waiting cost, and what came of what was decided."""
