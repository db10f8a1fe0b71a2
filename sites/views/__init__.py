"""Pages of the register: each view loads, calls one service or query, and answers."""
