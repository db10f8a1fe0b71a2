"""How people write days, numbers, measures and words: read, and written back."""
