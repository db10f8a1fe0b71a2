"""Records that a `ref` renames, and rows that are about the same thing."""

from django.utils.translation import gettext as _

from sites.load.services.book import K, M, Shelf
from sites.load.services.rows import Row


def rename(keyed: list[tuple[Row, K | None, M | None]], shelf: Shelf[M, K]) -> None:
    """Give records that a `ref` renames their new keys; all old keys are freed first."""
    moves = [
        (row, key, record)
        for row, key, record in keyed
        if key is not None and record is not None and shelf.find(key) is not record
    ]
    for _row, _key, record in moves:
        shelf.release(record)
    for row, key, record in moves:
        if key in shelf.by_key:
            row.problem("ref", _("Another record has this name or number already. Correct either."))
        else:
            shelf.put(record, key)


def tell_repeated(row: Row, first: Row) -> None:
    """Tell a row that is about the same thing as an earlier one; the same words are no harm."""
    if row.cells == first.cells:
        row.remark(_("the same as row %(first)d, left out.") % {"first": first.number})
        row.is_left_out = True
        return
    needed = [column.field for column in row.sheet.kind.columns if column.required]
    given = [name for name in needed if name in row.cells]
    row.problem(
        given[-1] if given else next(iter(row.cells)),
        _("Row %(first)d says something else about the same thing. Keep one of the two.")
        % {"first": first.number},
    )
