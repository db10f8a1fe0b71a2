"""The two verbs: look at what register files would do, and load them."""

from collections.abc import Callable, Sequence
from datetime import date

from django.db import IntegrityError, transaction
from django.db.models import Model
from django.utils.translation import gettext as _

from faults.load.services import breaks, faults, readings
from faults.models import Break, Fault, FaultStation, Reading, StageMove
from faults.waits.services.keeping_waits import touch, waits_kept
from sites.cells.engines.raw import RawSheet
from sites.load.services.applying import apply_load
from sites.load.services.book import Scope
from sites.load.services.collecting import fewer_collections
from sites.load.services.files import RegisterFile, read_files
from sites.load.services.load import Load
from sites.load.services.planning import plan_load
from sites.load.services.preview import Preview
from sites.load.services.recognise import Answers
from sites.load.services.sheets.listed import KINDS as REGISTER_KINDS
from sites.load.services.sheets.listed import TABLES as REGISTER_TABLES
from sites.load.services.standing import standing_of
from sites.load.services.work import Work, Written
from sites.models import Property, User
from sites.runs.services import Progress, Silent

KINDS = REGISTER_KINDS | {kind.name: kind for kind in (faults.KIND, breaks.KIND, readings.KIND)}
TABLES: tuple[type[Model], ...] = (
    *REGISTER_TABLES,
    Fault,
    FaultStation,
    StageMove,
    Break,
    Break.wires.through,
    Reading,
)


class UnableToLoad(Exception):
    """The files cannot be loaded as they are; the preview says what is in the way."""

    def __init__(self, message: str, preview: Preview) -> None:
        super().__init__(message)
        self.preview = preview


def check_register(
    *,
    files: Sequence[RegisterFile],
    answers: dict[str, object] | None = None,
    today: date,
    by_user_id: int | None = None,
    progress: Progress | None = None,
) -> Preview:
    """Return what loading the files would do. Reads only.

    Raises:
        UnableToRead: a file is no register at all.
    """
    progress = progress or Silent()
    progress.say(_("Opening the files"))
    with fewer_collections():
        sheets = read_files(list(files), progress)
        return _plan(sheets, files, answers, today, by_user_id, progress)[1]


def load_register(
    *,
    files: Sequence[RegisterFile],
    answers: dict[str, object] | None = None,
    today: date,
    by_user_id: int | None = None,
    digest: str = "",
    keep: Callable[[list[Written]], None] | None = None,
    progress: Progress | None = None,
) -> Preview:
    """Load the files, all of them or nothing, and return what was done.

    Args:
        by_user_id: whose properties may be touched, and who stands in the history; None = all.
        digest: of the preview that was shown; anything else is refused.
        keep: called in the transaction with what it takes to take the load back.

    Raises:
        UnableToRead: a file is no register at all.
        UnableToLoad: there are problems or open questions, or the register has changed since
            the preview was shown.
    """
    progress = progress or Silent()
    progress.say(_("Opening the files"))
    with fewer_collections():
        return _load(files, answers, today, by_user_id, digest, keep, progress)


def _load(
    files: Sequence[RegisterFile],
    answers: dict[str, object] | None,
    today: date,
    by_user_id: int | None,
    digest: str,
    keep: Callable[[list[Written]], None] | None,
    progress: Progress,
) -> Preview:
    sheets = read_files(list(files), progress)
    # Planned before the transaction, without a lock; again inside it only if the register changed.
    standing = standing_of(TABLES)
    load, preview = _plan(sheets, files, answers, today, by_user_id, progress)
    _refuse(preview, digest)
    try:
        with transaction.atomic():
            _hold(load.book.scope)
            if standing_of(TABLES) != standing:
                load, preview = _plan(sheets, files, answers, today, by_user_id, progress)
                _refuse(preview, digest)
            with waits_kept():
                user = load.book.scope.user
                written = apply_load(load, TABLES, user=user, progress=progress)
                touch(**_touched(load.work))
            if keep is not None:
                keep(written)
    except IntegrityError as error:
        raise UnableToLoad(_changed_meanwhile(), preview) from error
    return preview


def _touched(work: Work) -> dict[str, set[int]]:
    """Writing in bulk sends no signal: whose waits follow from what was written."""
    return {
        "stations": {row.station.pk for row in work.written(FaultStation)},
        "faults": set(work.changed.get(Fault, {})),
        "places": set(work.changed.get(Property, {})),
    }


def _plan(
    sheets: list[RawSheet],
    files: Sequence[RegisterFile],
    answers: dict[str, object] | None,
    today: date,
    by_user_id: int | None,
    progress: Progress,
) -> tuple[Load, Preview]:
    user = User.objects.get(pk=by_user_id) if by_user_id is not None else None
    return plan_load(
        sheets,
        files=files,
        kinds=KINDS,
        answers=Answers.from_json(answers),
        scope=Scope(user),
        today=today,
        progress=progress,
    )


def _hold(scope: Scope) -> None:
    """Two loads of the same places wait for each other; readers do not wait at all."""
    list(Property.objects.select_for_update().filter(scope.properties).order_by("pk"))


def _refuse(preview: Preview, digest: str) -> None:
    if preview.problem_count:
        raise UnableToLoad(_("Nothing was loaded: there are problems to mend first."), preview)
    if preview.questions:
        raise UnableToLoad(_("Nothing was loaded: there is a question to answer first."), preview)
    if digest and preview.digest != digest:
        raise UnableToLoad(_changed_meanwhile(), preview)


def _changed_meanwhile() -> str:
    return _(
        "Nothing was loaded: the register has changed since the preview was made. Look at the "
        "new preview, then load."
    )
