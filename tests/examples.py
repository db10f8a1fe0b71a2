"""How many examples a costly property test draws.

SQLite draws them all. PostgreSQL repeats a fifth: what differs there are constraints, locks and
types, which few examples reach, and each costs several times as much.
"""

import os


def examples(most: int) -> int:
    """Return how many of `most` examples to draw on this database."""
    is_postgresql = os.environ.get("DATABASE_URL", "").startswith("postgres")
    return max(3, most // 5) if is_postgresql else most
