"""Where faults keep coming back: what is in view, what it adds up to, and how it reads."""
