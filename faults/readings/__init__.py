"""Measurements on a wire: taken, judged, and turned into distances.

A bring-home test is one of them: the two field wires of a station on a stopgap are joined at its
valve, and their loop is read at the clock. `engines/bring_home.py` says how likely the wire is
sound, `services/loop_facts.py` what is known of it before, `services/bring_home.py` what follows;
waits, searches, pages and the phone ask there. `services/loops.py` holds its verbs.
"""
