"""Back up into one archive, check one, and restore it into an empty installation."""
