"""Which price holds, and money rounded once."""
