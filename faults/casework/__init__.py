"""A fault's own page, which brings all rooms together, and the moves it offers."""
