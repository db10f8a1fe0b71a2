"""What staying off central control costs in water: the ledger, the meter, and its inputs.

`WaterMonth` is the ledger (one row a station and month), `Meter` its sum for each spell (two
spells in one month share it by days); both are derived. `gathered` reads the inputs,
`sites.water.engines.months` computes, `ledger` writes what differs, and `keeping` connects the
signals and marks as stale what is too much for one request. `manage.py rebuild water` is
idempotent and safe at any time.

A property's own climate table goes before the shared one that it names; in a table days go before
the month, and the month before the long-term mean. What is missing makes a month not known, never
0. Money is shown only to users who may see prices, and sorting by it reveals nothing to others.
"""
