"""Load register files with all sheets: those of the register, and faults, breaks, readings."""
