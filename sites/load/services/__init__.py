"""Load the register from files: read, match, plan, show, and only then write.

The way of a file: `files` reads bytes into raw sheets, `recognise` and `headings` say what each
sheet and column is, `rows` hands out cells as values in storage units, the modules of `sheets`
plan what each row makes or changes, `preview` holds that for the page, and `work` writes it in
one transaction. Higher apps bring sheets of their own as further `PlannedKind`s.

Only a plan without problems is written, all or nothing, and only if it is still the plan that the
user was shown (`preview` has a digest).

Planners share a `Load`: its `book` holds the records by key, its `work` what will be written, and
`load.notes(StopgapNotes)` what the planners of one subject remember for later rows and sheets.
"""
