"""A full disk refuses nothing: what found no room stays on the phone and comes again."""

import base64
import errno
from typing import Any

import pytest

from faults.models import Job, SheetItem
from sites.models import User
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.services.sheet.sending import answers, send, thing

pytestmark = pytest.mark.django_db


@pytest.fixture
def tessa(cast: Cast) -> User:
    """The technician, in a crew."""
    make_jobs.crew(cast.technician, name="North")
    return cast.technician


@pytest.fixture
def job(ours: Corner, tessa: User) -> Job:
    """Her visit of today to our fault."""
    crew = make_jobs.Crew.objects.get(name="North")
    return make_jobs.job(fault=ours.fault, crew=crew, day=make.TODAY)


@pytest.mark.parametrize("why", [errno.ENOSPC, errno.EDQUOT, errno.EFBIG])
def test_a_photo_that_finds_no_room_stays_on_the_phone_and_is_taken_later(
    job: Job, tessa: User, monkeypatch: pytest.MonkeyPatch, why: int
) -> None:
    def full(*_args: Any, **_how: Any) -> None:
        raise OSError(why, "no room")

    picture = base64.b64encode(make.picture_file().read()).decode()
    start, photo = thing(job, "start"), thing(job, "photo", picture=picture)
    with monkeypatch.context() as patched:
        patched.setattr("django.core.files.storage.FileSystemStorage._save", full)
        with pytest.raises(OSError, match="no room"):
            send(tessa, start, photo)
    # What came before it is kept; of the photo nothing is, so that it may come again.
    assert SheetItem.objects.count() == 1
    assert answers(send(tessa, start, photo)) == ["accepted", "accepted"]
    assert job.photos.count() == 1
