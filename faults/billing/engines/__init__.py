"""Plain calculations of billing."""
