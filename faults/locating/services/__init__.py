"""Searches: the line of a station's wire, what is believed of it, and the verbs of a search.

This joins the engine to the register. `ground` makes the line of a wire from its legs, boxes,
past breaks, renewals and what lies on top; `neighbours` says which other stations run or do not;
`numbers` holds the assumed numbers that a company set for itself; `beliefs` runs the tests
through the engine one by one, so that the page can say what each did.

While a search is open its line is read from the register, so that a box found today counts at
once. At its end line, numbers, engine version and last likelihood are stored as a snapshot.
Moving a station to found, given up or withdrawn ends its search. The fault's page loads the
likelihood by htmx, so that a fault of many stations opens as fast as before.
"""
