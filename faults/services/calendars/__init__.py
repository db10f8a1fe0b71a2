"""Calendars: a secret link for each user, and the feed that is read under it."""
