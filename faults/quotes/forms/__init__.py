"""Forms of quotes and of their answers."""
