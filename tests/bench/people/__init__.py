"""People with all roles, phones that come back into signal, and files that leave: all at once."""
