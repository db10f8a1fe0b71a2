"""Each named rule on what comes from phones refuses what it names."""

import pytest

from faults.models import SheetItem
from tests import make
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def make_item(**given: str) -> SheetItem:
    """Make a thing that was kept."""
    moments = dict.fromkeys(("at", "happened_at", "received_at"), make.NOW)
    return SheetItem.objects.create(**{"kind": "start", "answer": "accepted", **moments, **given})  # type: ignore[misc]


def test_sheet_item_refused_with_a_reason() -> None:
    with refused_by("sheet_item_refused_with_a_reason"):
        make_item(answer="refused")


def test_sheet_item_conflict_shows_both() -> None:
    with refused_by("sheet_item_conflict_shows_both"):
        make_item(answer="conflict", why="both", mine="works")
