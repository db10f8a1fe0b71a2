"""Forms and filters of faults."""
