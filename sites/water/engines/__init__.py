"""What a station's plants needed, what it was given, and what of that was too much."""
