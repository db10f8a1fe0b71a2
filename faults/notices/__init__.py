"""Notices to the owners of buried lines: rules, closed days, tickets, and the gate that a dig asks."""
