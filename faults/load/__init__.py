"""Register files with faults, breaks and readings, in and out."""
