"""By what a phone knows that its data is newer than what it sent."""

from datetime import datetime
from typing import Any

import pytest
from django.utils import timezone

from faults.models import SheetItem
from faults.sheet.services.inbox import take_in
from tests import make_jobs
from tests.cast import Cast, Corner
from tests.web.pages import signed_in
from tests.web.sheet.test_sheets import batch, post, start_of

pytestmark = pytest.mark.django_db


def test_the_stamp_of_an_answer_is_later_than_all_that_was_written(
    cast: Cast, ours: Corner, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Data that was read between the two has a stamp of its own: it must not pass for newer.
    tessa, written = cast.technician, list[datetime]()
    job = make_jobs.job(fault=ours.fault, day=timezone.localdate())

    def slowly(**given: Any) -> list[SheetItem]:
        rows = take_in(**given)
        written.append(timezone.now())
        return rows

    monkeypatch.setattr("faults.sheet.views.sheets.take_in", slowly)
    answer = post(signed_in(tessa), batch(tessa, start_of(job))).json()
    assert datetime.fromisoformat(answer["stamp"]) >= written[0]
