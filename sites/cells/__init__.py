"""How people write values in cells: days, numbers, measures and words, read and written back."""
