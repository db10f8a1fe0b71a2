"""Load from the command line: listed and taken back like what a page loads."""

from collections.abc import Sequence
from datetime import date
from functools import partial
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.load.services.register import load_register
from faults.load.services.taking_back import keep_written
from faults.load.services.uploads import LOAD
from sites.load.services.files import RegisterFile
from sites.load.services.preview import Preview
from sites.models import Run, RunState, Upload
from sites.runs.services import Progress


@transaction.atomic
def load_by_command(
    *,
    files: Sequence[RegisterFile],
    answers: dict[str, Any],
    today: date,
    progress: Progress | None = None,
) -> Preview:
    """Load the files, all of them or nothing, and keep what it takes to take them back.

    Raises:
        UnableToRead, UnableToLoad: as `load_register`; then nothing is listed either.
    """
    at = timezone.now()
    upload = Upload.objects.create(filename=_name(files), by=None, at=at, answers=answers)
    preview = load_register(
        files=files,
        answers=answers,
        today=today,
        keep=partial(keep_written, upload),
        progress=progress,
    )
    upload.load_run = Run.objects.create(
        service=LOAD,
        title=_("Load %(filename)s") % {"filename": upload.filename},
        state=RunState.DONE,
        asked_at=at,
        started_at=at,
        ended_at=timezone.now(),
        result=preview.to_json(),
    )
    upload.save(update_fields=["load_run"])
    return preview


def _name(files: Sequence[RegisterFile]) -> str:
    """The first file's name, and how many came with it, as far as the column goes."""
    first, more = files[0].filename[:150], len(files) - 1
    return f"{first} + {more}" if more else first
