"""The sheets of the register: their columns, and how each row is planned."""
