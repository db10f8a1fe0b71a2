"""Reconcile with the central system's own list: read it, compare, and put either side right.

`lists` takes a list in, `differences` compares it with the register as it stands now, and
`deciding` holds the verbs. A difference is computed whenever the page is opened, so it is gone
as soon as the register is corrected; what was decided is kept until a later list shows that the
difference has changed.
"""
