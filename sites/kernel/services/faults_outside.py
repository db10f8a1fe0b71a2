"""What broke outside of the program: the database is gone, or a disk has no room.

Neither is a mistake of ours or of what was sent: nothing is half-written, and the same sent again
later is taken. So whoever sent it is told to wait, and never that it cannot be kept.
"""

import errno
from collections.abc import Iterator

from django.db import InterfaceError, OperationalError

# Full, over a quota, or over the size that a process may write.
NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})


def lost_the_database(error: BaseException | None) -> bool:
    """Return whether an error, or one that it arose from, says that the database is gone.

    A sign-in that could not be written ends as "the session was deleted", which it was not.
    """
    return any(isinstance(each, OperationalError | InterfaceError) for each in _origins(error))


def has_no_room(error: BaseException | None) -> bool:
    """Return whether an error, or one that it arose from, says that a file found no room."""
    return any(isinstance(each, OSError) and each.errno in NO_ROOM for each in _origins(error))


def _origins(error: BaseException | None) -> Iterator[BaseException]:
    seen: set[int] = set()
    while error is not None and id(error) not in seen:
        seen.add(id(error))
        yield error
        error = error.__cause__ or error.__context__
