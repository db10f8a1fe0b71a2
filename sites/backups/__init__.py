"""One archive of database and files: made while in use, sealed, checked, restored; upgrades."""
