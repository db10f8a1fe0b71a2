"""Where a wire is broken, and what to test next.

The belief (`belief`) is a probability for each foot of each leg (the station's wire, the common,
the whole bundle), each splice and each cause outside the wire. A reading (`box_tests`, `tones`,
`seen`, `volts`, `other_tests`) multiplies in its likelihood. `for_symptom` and `tools_for`
(`symptoms`) adapt numbers and tools before anything is computed: a short lets the tone pass, a dry
nick reads good.

`plan` ranks actions (`hearing`, `walks`, `measurements` and others offer them); `costs` prices
what follows by one recursion in which each test errs as in the field, over a `terrain` that says
where each price is looked up. A line of more than 24 legs is priced on fewer (`shortened`). Long
searches are disliked (sums of mass x exp(dislike x minutes)), which lowers the 90th percentile at
no cost to the mean.

Page, phone and simulation ask one searcher (`searching.Searcher`): what is believed, and what
comes next. `pairs.State` holds one fault to the foot and two as pairs of segments; the plan seeks
the fault nearest the controller. A mend that left the station dead is a reading (`mends`): the
search goes on by all tests so far. A walk in vain tells less the second time (`misses`), what open
boxes showed and which wires were cut changes the line (`worked`), and what was asked twice running
is not asked a third time (`repeats`). Where walks do not show a place on a long leg, the ground is
opened at a half (`openings`): the hole becomes a box of the line, which parts the leg. Where all
tests read good, it may be another wire on the terminal: a proof from the valve tells (`proving`).

`cases.findings` returns what there is to report (which two readings contradict each other, which
test to repeat, where a second fault lies) as an enum with figures; `why` the facts behind an
option's rank. `learning.learn` re-estimates the assumptions from finished searches.

`plain_search.search_from` reads a whole search from JSON values. A change that may give other
figures raises `plain.ENGINE_VERSION`. The phone runs the same engine in JavaScript
(`faults/locating/static/faults/locating/`): Python is the reference, and numbers, words and layouts
(`data.js`) are written from it by `tests.architecture.guide`. Two tests compare the rules on random
searches: `tests/engines/locating/test_phone_alike.py` without a browser, in seconds, with a small
case where they differ, and `tests/browser/locating/test_phone_engine.py` in Chromium on 60
searches, a thousand in `.ci/long searches`. Sums near a limit differ by rounding, so limits are
taken a billionth lower (`line.JUST_BELOW`) and minutes are ranked rounded to a millionth.
"""
