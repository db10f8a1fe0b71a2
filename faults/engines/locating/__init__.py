"""Where a wire is broken, and what to test next."""
