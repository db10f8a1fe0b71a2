"""The best rota for some crews and days: exact where that can be reached, else with its gap.

A crew on a day is a *shift*. A *route* is the ordered jobs of one shift, from the yard and back.
What is made smallest, in minutes: driving, plus a penalty for each job left out, plus a cost for
each job moved away from the shift that it was promised for. `planning` is the door; a `Clock`
limits the time and lets someone stop it.

1. `routes` lists, for each kind of shift, the shortest route over every set of jobs that fits in
   it (a dynamic programme over sets). `choosing` picks routes by integer programming, so the plan
   is proven. A tracing day holds about five jobs, so the list is short.
2. Days of many short jobs have too many sets. Then `improving` finds a good plan by local search,
   and `bounding` (with `pricing`) makes only routes that can still lower its cost, which also gives
   a bound that no plan can undercut. Where few routes are left between the two, all of them are
   listed and the plan is proven after all; else it is given with its gap.

`reasons` says for each job left out which rule shuts it out, or which jobs took its place.

The method and the published values it is tested against: set packing over routes (Balas and
Padberg 1976), column generation with ng-routes (Baldacci, Mingozzi and Roberti 2011); both from
memory. Minutes are whole; travel is to be rounded up by who gives it.
"""
