"""One box that finds everything that a user may see."""
