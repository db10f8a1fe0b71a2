"""Files of the register: read, matched, planned, shown, and only then written."""
