"""Where faults keep coming back, and whether to repair or to renew."""
