"""Measurements on a wire: taken, judged, and turned into distances."""
