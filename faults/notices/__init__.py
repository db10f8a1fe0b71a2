"""Notices to owners of buried lines: rules, closed days, tickets, the dig gate."""
