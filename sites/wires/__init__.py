"""Conductors: where each lies, what it serves, and what it should read."""
