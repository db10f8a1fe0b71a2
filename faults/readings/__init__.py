"""Measurements on a wire: taken, judged against what they should be, and turned into distances."""
