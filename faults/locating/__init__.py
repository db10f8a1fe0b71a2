"""Where a wire is broken: what is believed, what a test said, what to do next."""
