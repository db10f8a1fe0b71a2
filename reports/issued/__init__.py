"""Reports: put together, issued, kept as issued.

A draft says how things stand when it is made and may be thrown away. What is issued gets a
number; its words, its figures and its files stay in the database, which refuses to change them.
Where facts of its period are corrected later, it says what differs, and a new version can be
issued beside it. Figures come from the very functions that the pages ask.
"""
