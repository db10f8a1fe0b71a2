"""Pages that combine the register and the faults."""
