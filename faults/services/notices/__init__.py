"""Notices: rules, closed days, tickets, and the gate that a dig asks."""

from faults.services.notices.gate import dig_gate
from faults.services.notices.states import ticket_states

__all__ = ["dig_gate", "ticket_states"]
