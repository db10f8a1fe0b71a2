"""Where a wire is broken: what is believed, what each test said, and what to do next."""
