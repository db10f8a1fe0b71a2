"""One archive of the database and all uploaded files: made while in use, checked, restored."""
