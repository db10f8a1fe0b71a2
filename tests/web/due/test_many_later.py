"""What was done to many lines, later: old records, days moved twice, acts that are gone."""

from datetime import timedelta

import pytest
from django.utils import timezone

from faults.due.services.by_hand import put_back_on_its_day
from sites.kernel.services.many import forget_ticked_acts
from sites.kernel.services.sent_forms import KEPT_FOR
from sites.models import TickedAct
from tests.cast import Cast, Corner
from tests.web.due.test_many import made, press, states, take_back

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def test_records_of_long_ago_are_forgotten(cast: Cast, ours: Corner) -> None:
    (row,) = made(ours, 1)
    press(cast.technician, "due_finish", row)
    at = timezone.now()
    TickedAct.objects.update(at=at - KEPT_FOR)
    assert forget_ticked_acts(at=at) == 0
    assert forget_ticked_acts(at=at + timedelta(seconds=1)) == 1


def test_only_the_last_move_goes_back(cast: Cast, ours: Corner) -> None:
    (row,) = made(ours, 1)
    press(cast.owner, "due_move", row, sure="1", to="2025-07-01", why="a")
    press(cast.owner, "due_move", row, sure="1", to="2025-08-01", why="b")
    row.refresh_from_db()
    put_back_on_its_day(follow_up=row)
    assert row.due_on.isoformat() == "2025-07-01"


def test_an_act_that_no_list_offers_any_more_is_not_found(cast: Cast, ours: Corner) -> None:
    (row,) = made(ours, 1)
    press(cast.technician, "due_finish", row)
    TickedAct.objects.update(act="of an older version")
    assert take_back(cast.technician).status == 404
    assert states([row]) == {"done"}
