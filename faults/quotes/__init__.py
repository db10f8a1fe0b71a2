"""Quotes to a client, options side by side, and the client's answer.

It stands above locating, whose belief says how long a search takes, and above the work, whose
figures say how long a hole takes. A yes goes into `cases` by the same verb, whether the client
gave it through a private link or on the telephone.
"""
