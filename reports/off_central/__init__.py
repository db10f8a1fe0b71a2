"""How many stations are off central control, why, since when, on any day."""
