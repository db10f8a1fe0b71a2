"""Each column that a sheet declares is written, and is the same after it was loaded."""

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from faults.load.services.export.register import SHEETS
from faults.load.services.register import KINDS
from sites.cells.services.columns import Column
from sites.export.services.sheets import ExportSheet
from tests.services.export.garden import make_garden
from tests.services.export.there_and_back import (
    Lists,
    exported,
    files_of,
    forget_everything,
    load,
    rows_of,
)

COLUMNS = [
    pytest.param(sheet, column, id=f"{sheet.name}: {column.field}")
    for sheet in SHEETS
    for column in sheet.kind.columns
]


@pytest.fixture(scope="module")
def there_and_back(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> tuple[Lists, Lists]:
    """The lists of the garden, before it was forgotten and after it was loaded again."""
    with django_db_blocker.unblock(), transaction.atomic():
        make_garden()
        before = exported()
        forget_everything()
        load(*files_of(before))
        after = exported()
        transaction.set_rollback(True)
    return before, after


@pytest.mark.parametrize(("sheet", "column"), COLUMNS)
def test_a_column_is_written_and_loaded_again(
    sheet: ExportSheet, column: Column, there_and_back: tuple[Lists, Lists]
) -> None:
    before, after = (
        [row[column.heading] for row in rows_of(lists, sheet.name)] for lists in there_and_back
    )
    assert any(before), "The garden has no value in this column: give it one."
    assert after == before


def test_every_sheet_of_the_register_that_is_loaded_is_written_too() -> None:
    loaded = {name for name, kind in KINDS.items() if not kind.is_left_alone}
    # A flat list holds what other sheets hold as well.
    assert loaded - {"flat list"} == {sheet.name for sheet in SHEETS}
