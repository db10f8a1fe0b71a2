"""Programs that are told what happened, and what was sent to them.

It knows no fact of its own: rooms below say what happened (`spells_rebuilt`, `report_issued`), the
API's shapes say how it reads, and what a program is told is what its user sees at that moment,
within the limit that was set. A row is written in the transaction of the fact and sent afterwards,
at least once, under one id.
"""
