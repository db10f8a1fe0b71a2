"""Write the whole register: the sheets of the register, and faults, breaks and readings."""
