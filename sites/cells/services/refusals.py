"""The errors of loading, each in words that say what to do next."""


class UnableToRead(Exception):
    """The file cannot be read as a register; the message says why and what to do."""


class Unreadable(Exception):
    """One cell cannot be read as what its column holds; the message says how to mend it."""
