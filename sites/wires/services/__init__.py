"""Verbs on wires: where they lie, which terminal they are on, and what they serve."""
