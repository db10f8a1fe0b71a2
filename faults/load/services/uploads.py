"""Uploads: take files in, look at them and load them in the background, or give them up."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from functools import partial
from typing import IO, Any
from zoneinfo import ZoneInfo

from django.core.files import File
from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from faults.load.services.mending import write_to_mend
from faults.load.services.register import UnableToLoad, check_register, load_register
from faults.load.services.taking_back import UnableToTakeBack, keep_written, take_back_load
from sites.cells.services.refusals import UnableToRead
from sites.load.services.files import RegisterFile, read_files
from sites.models import FurtherFile, RunState, Upload, User
from sites.runs.services import Progress, UnableToFinish, cancel_run, is_under_way, start_run

PREVIEW = "look at upload"
LOAD = "load upload"
TAKE_BACK = "take back upload"


class UnableToConfirm(Exception):
    """The upload cannot be loaded now; the message says what to do first."""


@transaction.atomic
def receive_upload(*, files: "Sequence[File[bytes]]", by: User, at: datetime) -> Upload:
    """Keep the files as one upload, and look at them in the background."""
    first, *rest = files
    upload = Upload.objects.create(file=first, filename=_name(first), by=by, at=at)
    for each in rest:
        FurtherFile.objects.create(upload=upload, file=each, filename=_name(each))
    _start_preview(upload, by, at)
    return upload


@transaction.atomic
def answer_upload(*, upload: Upload, answers: dict[str, object], by: User, at: datetime) -> None:
    """Store the answers about the files, and preview them again.

    Raises:
        UnableToConfirm: the upload is being loaded, or was.
    """
    upload = _locked(upload)
    upload.answers = answers
    if upload.preview_run:
        cancel_run(run=upload.preview_run, at=at)
    _start_preview(upload, by, at)


@transaction.atomic
def look_again(*, upload: Upload, by: User, at: datetime) -> None:
    """Look at the files again, as they were understood last; once, however often it is asked for.

    Raises:
        UnableToConfirm: the upload is being loaded, or was.
    """
    upload = _locked(upload)
    run = upload.preview_run
    if run is None or not is_under_way(run=run, at=at):
        _start_preview(upload, by, at)


@transaction.atomic
def confirm_upload(*, upload: Upload, digest: str, by: User, at: datetime) -> None:
    """Load what the preview of this digest showed.

    Raises:
        UnableToConfirm: another preview is shown by now, it cannot be loaded, or it was.
    """
    upload = _locked(upload)
    shown = upload.preview_run.result if upload.preview_run else None
    if not shown or not shown["can_load"] or shown["digest"] != digest:
        raise UnableToConfirm(_("This is not the preview that you saw. Look at it once more."))
    upload.load_run = start_run(
        service=LOAD,
        title=_("Load %(filename)s") % {"filename": upload.filename},
        by=by,
        at=at,
        arguments={"upload_id": upload.pk, "digest": digest},
    )
    upload.save(update_fields=["load_run"])


@transaction.atomic
def give_up_upload(*, upload: Upload) -> None:
    """Forget the files.

    Raises:
        UnableToConfirm: the upload is being loaded, or was.
    """
    upload = _locked(upload)
    _forget_files(upload)
    upload.delete()


def preview_upload(progress: Progress, *, upload_id: int, **later: Any) -> dict[str, object]:
    """Look at an upload's files; the result is what the page shows."""
    upload = Upload.objects.select_related("by").get(pk=upload_id)
    by = _by(upload)
    with _in_words_of(by):
        try:
            preview = check_register(
                files=_contents(upload),
                answers=upload.answers,
                today=_today(by),
                by_user_id=upload.by_id,
                progress=progress,
            )
        except UnableToRead as refusal:
            raise UnableToFinish(str(refusal)) from None
        return preview.to_json()


def load_upload(
    progress: Progress, *, upload_id: int, digest: str = "", **later: Any
) -> dict[str, object]:
    """Load an upload's files, if they would still do what was shown."""
    upload = Upload.objects.select_related("by").get(pk=upload_id)
    by = _by(upload)
    with _in_words_of(by):
        try:
            preview = load_register(
                files=_contents(upload),
                answers=upload.answers,
                today=_today(by),
                by_user_id=upload.by_id,
                digest=digest,
                keep=partial(keep_written, upload),
                progress=progress,
            )
        except (UnableToRead, UnableToLoad) as refusal:
            raise UnableToFinish(str(refusal)) from None
        _forget_files(upload)
        return preview.to_json()


@transaction.atomic
def ask_to_take_back(*, upload: Upload, by: User, at: datetime) -> None:
    """Take a load back in the background; once, however often it is asked for.

    Raises:
        UnableToConfirm: nothing of it is left to take back.
    """
    held = Upload.objects.select_for_update(of=("self",)).get(pk=upload.pk)
    if held.back_run and is_under_way(run=held.back_run, at=at):
        return
    if not held.loaded.exists():
        raise UnableToConfirm(_("Nothing of this load is left to take back."))
    held.back_run = start_run(
        service=TAKE_BACK,
        title=_("Take back %(filename)s") % {"filename": held.filename},
        by=by,
        at=at,
        arguments={"upload_id": held.pk, "by_id": by.pk},
    )
    held.save(update_fields=["back_run"])


def take_back_upload(
    progress: Progress, *, upload_id: int, by_id: int, **later: Any
) -> dict[str, object]:
    """Take a load back; what was built on it is told, and nothing is changed."""
    upload = Upload.objects.get(pk=upload_id)
    by = User.objects.get(pk=by_id)
    with _in_words_of(by):
        try:
            take_back_load(upload=upload, by=by, progress=progress)
        except UnableToTakeBack as refusal:
            raise UnableToFinish(str(refusal)) from None
    return {}


def write_workbook_to_mend(*, upload: Upload, file: IO[bytes]) -> None:
    """Write what was brought, each problem beside its cell.

    Raises:
        UnableToConfirm: there is no preview, or the files are gone.
    """
    shown = upload.preview_run.result if upload.preview_run else None
    if not shown:
        raise UnableToConfirm(_("Look at the files first: then what is wrong in them is known."))
    try:
        write_to_mend(read_files(_contents(upload)), shown, file)
    except UnableToRead as refusal:
        raise UnableToConfirm(str(refusal)) from None


def _locked(upload: Upload) -> Upload:
    """One at a time: the row is held, and one that is being loaded is left alone."""
    held = Upload.objects.select_for_update(of=("self",)).get(pk=upload.pk)
    if held.load_run and held.load_run.state in (
        RunState.WAITING,
        RunState.RUNNING,
        RunState.DONE,
    ):
        raise UnableToConfirm(_("This upload is being loaded, or was loaded already."))
    return held


def _start_preview(upload: Upload, by: User, at: datetime) -> None:
    upload.preview_run = start_run(
        service=PREVIEW,
        title=_("Look at %(filename)s") % {"filename": upload.filename},
        by=by,
        at=at,
        arguments={"upload_id": upload.pk},
    )
    upload.load_run = None
    upload.save(update_fields=["answers", "preview_run", "load_run"])


def _contents(upload: Upload) -> list[RegisterFile]:
    contents = []
    for filename, file in upload.all_files():
        try:
            with file.open("rb"):
                contents.append(RegisterFile(filename, file.read()))
        except OSError:
            raise UnableToRead(_("The file is not kept any more. Bring it once more.")) from None
    return contents


def _forget_files(upload: Upload) -> None:
    """Files go when the transaction is kept: a file cannot be rolled back."""
    for _filename, file in upload.all_files():
        storage, name = file.storage, file.name
        if name:
            transaction.on_commit(partial(storage.delete, name))


@contextmanager
def _in_words_of(user: User) -> Iterator[None]:
    with translation.override(user.language):
        yield


def _by(upload: Upload) -> User:
    """Who brought its files on a page; the command line brings and loads in one."""
    assert upload.by is not None
    return upload.by


def _today(user: User) -> Any:
    return timezone.localdate(timezone=ZoneInfo(user.time_zone))


def _name(file: "File[bytes]") -> str:
    return (file.name or "file").replace("\\", "/").rsplit("/", 1)[-1][-200:]
