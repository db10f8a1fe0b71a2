"""One box that finds every page, thing and verb that a user may open."""
