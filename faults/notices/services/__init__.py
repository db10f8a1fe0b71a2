"""Notices: rules, closed days, tickets, and the gate that a dig asks.

A region's rule is data that the owner confirms after asking the centre; changing a number takes
the confirmation back. The engine `workdays` counts its three clocks, the engine `dig_gate` gives
every reason against a dig, and this package feeds both from the tables. A ticket's printed
days win. A rule whose closed days are not listed for a year is not counted with: a year without
holidays clears too early.

`dig_gate(job=, at=)` judges a dig that starts at `at`; waits, readiness and the list of notices
read through `NoticeBook` (`book`), in as many queries for one row as for many. The owner's
permission against a notice is a `DigOverride`: taken back, never deleted.
"""

from faults.notices.services.gate import dig_gate

__all__ = ["dig_gate"]
