"""Verbs on the ground: points, and the legs between them."""
