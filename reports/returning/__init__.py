"""Which stations to bring back first with the hours at hand."""
