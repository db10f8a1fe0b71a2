"""Pages of faults."""
