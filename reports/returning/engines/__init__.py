"""The best set to bring back when stations share set-ups, and what a station would have to save."""
