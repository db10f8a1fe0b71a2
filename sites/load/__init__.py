"""Files of the register: read, matched, planned, shown, only then written."""
