"""Where faults keep coming back: what is in view, what it adds up to, and how it reads.

`collecting` turns the register into stretches (a leg as it was before any split), each with its
faults and the days on which one would have been written down: from the latest of `records_since`
(or the first fault), `observed_from` and the newest renewal. One break is one fault, however many
stations it stops; the day is that of the report.

Ground causes are measured by feet of ground and years, wire causes by feet of wire and years;
what a leg should have had is the sum of both. `rank` shrinks what it had towards that by a fitted
gamma distribution (the engine `prior`). Flags are a test of their own on whole counts, with
one false flag in ten allowed over all rows in view. A fault never located lies where its last
search left it, else along its wires by feet and history; it enters shown rates and no test.

`manage.py simulate_hotspots` shows how often this is wrong. "Not flagged" never reads as sound.
"""
