"""What falls due: rules that raise follow-ups, and the verbs with which people handle them.

Due work is found, not remembered. A `Family` names the rows that can be a cause and what they
ask for; `raise_by_rules` walks them in chunks, each in a short transaction. `cause`
("device:12:2026-03-01") makes a follow-up unique. A day that equals `ruled_on` moves with its
rule, another one was set by a person and stays. What lost its cause lapses, and comes back with
it. Days are days of the property's time zone.
"""
