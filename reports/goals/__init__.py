"""Which share may be off central by when; whether it is on its path."""
