"""Pages of what staying off central control costs."""
