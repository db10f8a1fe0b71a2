"""Calendars: a secret link for each user, and the feed that is read under it.

Only a hash of the link is stored. The feed is computed at each read, with the permissions that
the user has then, and holds no prices, contacts, gate codes or notes.
"""
