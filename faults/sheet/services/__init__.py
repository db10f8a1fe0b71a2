"""The job sheet: what a phone is given for a visit, and what it sends back. Works without signal.

Down: `sheet_payload` (`forms/payload`) returns all that a visit shows as plain data, words too. The
scripts in `faults/sheet/static/faults/sheet/` draw it (`main`, `keep`, `step`, `view` at first, the
rest when a step needs it). `worker.js`, served at the root with its list of files, caches the
sheets of the user's crew for today and its next days.

Up: what is recorded is stored in IndexedDB first, under a key made on the phone, and sent in
order. `take_in` (`inbox`) calls the verbs for each thing in one transaction with its `SheetItem`,
so that the same key gets the same answer for ever (idempotent). A refusal keeps its reason, in
view of the phone and, on the job's page, of the office; on a conflict both values stand on the
phone. A wrong clock is corrected by the moment at which the batch says that it was sent.

A phone's store and cache belong to one user: signing out clears them (`Clear-Site-Data`), after
a question where something is unsent; another user's sign-in deletes all but what the first could
not send. The sheet needs the permission to work on jobs, each thing that of its own verb; the
address that receives things is open to every signed-in user, because a refusal must reach the
one who lost the permission.
"""
