"""A folder into which the central system, or a copy job beside it, lays its lists.

Each whole file is taken in once, as on the page of reconciling and by the rights of the user whom
the operator named, and goes to `done`; what cannot be taken in goes to `not_read`, with a note
beside it that says why. Nothing is deleted.
"""

from collections import Counter
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from sites.kernel.access import properties_for
from sites.kernel.engines.roles import Action
from sites.load.services.files import RegisterFile
from sites.models import CentralFile, CentralFolder, StandingDifference, User
from sites.reconcile.services.differences import compare
from sites.reconcile.services.folder_files import (
    Found,
    StillWritten,
    UnableToOpenFile,
    UnableToReadFolder,
    files_in,
    move_away,
    opened,
)
from sites.reconcile.services.lists import UnableToTakeList, take_list
from sites.reconcile.services.standing import forget_settled

# Our own choices.
MOST_FILES = 100
MOST_PROBLEMS = 40
READ, REFUSED, KNOWN, WAITING = "read", "not read", "read before", "not whole yet"


def read_central_folder(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Take in the lists of CENTRAL_FOLDER, the oldest first, and let go what was settled: a round.

    Without CENTRAL_FOLDER it only lets go.

    Raises:
        UnableToReadFolder: it is not there, nothing can be moved in it, or the user of
            CENTRAL_FOLDER_USER may not reconcile.
    """
    settled = {"settled": forget_settled()}
    folder: Path | None = settings.CENTRAL_FOLDER
    if folder is None:
        return settled
    try:
        done = _work_through(folder, at, go_on)
    except UnableToReadFolder as no:
        CentralFolder.objects.update_or_create(
            pk=1, defaults={"looked_at": at, "problem": str(no), "waiting": 0}
        )
        raise
    CentralFolder.objects.update_or_create(
        pk=1, defaults={"looked_at": at, "problem": "", "waiting": done[WAITING]}
    )
    return settled | {name: n for name, n in done.items() if n}


def _work_through(folder: Path, at: datetime, go_on: Callable[[], None]) -> Counter[str]:
    user = _user()
    if not folder.is_dir():
        raise UnableToReadFolder(
            _("The folder %s of CENTRAL_FOLDER is not there: make it, or mount its disk.") % folder
        )
    done: Counter[str] = Counter()
    with translation.override(user.language):
        for path in files_in(folder)[:MOST_FILES]:
            go_on()
            done[_work_on(path, user, at)] += 1
    return done


def _user() -> User:
    """Return by whose rights files are taken in."""
    name = settings.CENTRAL_FOLDER_USER
    user = User.objects.filter(username=name, is_active=True).first()
    if user is None:
        raise UnableToReadFolder(
            _("No user %s signs in here: name one in CENTRAL_FOLDER_USER who may reconcile.") % name
        )
    if not properties_for(user, Action.RECONCILE).exists():
        raise UnableToReadFolder(
            _("%s of CENTRAL_FOLDER_USER may not reconcile: give a role that may.") % name
        )
    return user


def _work_on(path: Path, user: User, at: datetime) -> str:
    """Take one file in, or refuse it, and move it away; return what came of it."""
    try:
        told = path.lstat()
    except FileNotFoundError:
        # Who laid it there took it back.
        return WAITING
    found, problem, outcome = Found(path, told.st_mtime_ns, told.st_size), "", REFUSED
    try:
        found = opened(found, at)
        outcome = READ if _is_taken(found, user, at) else KNOWN
    except StillWritten:
        return WAITING
    except UnableToOpenFile as no:
        problem = str(no)
    except UnableToTakeList as no:
        problem = _why(no)
    if problem:
        CentralFile.objects.update_or_create(
            sha256=found.sha256,
            changed_ns=found.changed_ns,
            defaults={"name": found.name, "size": found.size, "at": at, "problem": problem},
        )
    move_away(found, problem, at)
    return outcome


def _is_taken(found: Found, user: User, at: datetime) -> bool:
    """Take a file in unless it was before; of two at once, the second finds the row of the first.

    Raises:
        UnableToTakeList: as the upload's.
    """
    with transaction.atomic():
        row, _made = CentralFile.objects.select_for_update().get_or_create(
            sha256=found.sha256,
            changed_ns=found.changed_ns,
            defaults={"name": found.name, "size": found.size, "at": at},
        )
        if row.list_id is not None:
            return False
        before = StandingDifference.objects.count()
        central = take_list(
            files=[RegisterFile(found.name, found.content)],
            place=None,
            by=user,
            at=at,
            today=at.date(),
        )
        new = StandingDifference.objects.filter(list=central).count()
        compared = compare(central, user)
        row.list, row.at, row.name, row.problem = central, at, found.name, ""
        row.counts = {
            "listed": compared.listed,
            "open": len(compared.open),
            "new": new,
            "gone": before + new - StandingDifference.objects.count(),
            "foreign": sum(compared.foreign.values()),
        }
        row.save()
    return True


def _why(no: UnableToTakeList) -> str:
    """Return what is wrong with a list: the first rows of it."""
    lines = [str(no)]
    for each in no.problems[:MOST_PROBLEMS]:
        where = _("row %d") % each.row if each.row else ""
        lines.append(" | ".join(filter(None, (where, each.column, each.value, each.text))))
    if len(no.problems) > MOST_PROBLEMS:
        lines.append(_("and %d more") % (len(no.problems) - MOST_PROBLEMS))
    return "\n".join(lines)
