"""Rows of what was earned: by hand, and that nothing gets lost or mixed in adding up."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from faults.billing.engines.earning import SUMMED, Piece, Row, rows_of, totals_of

D = Decimal
HOURS = st.integers(0, 40).map(lambda n: D(n) / 4)
MONEY = st.integers(0, 10_000).map(lambda n: D(n) / 100)
PIECES = st.lists(
    st.builds(
        Piece,
        group=st.sampled_from("ab"),
        currency=st.sampled_from(["USD", "EUR", ""]),
        quoted=st.none() | MONEY,
        spent=MONEY,
        billed=MONEY,
        spent_h=HOURS,
        billed_h=HOURS,
        free_h=HOURS,
        not_priced=st.integers(0, 2),
    )
)


def test_lost_hours_are_spent_and_neither_billed_nor_free() -> None:
    piece = Piece("a", "USD", spent_h=D(6), billed_h=D(2), free_h=D(1))
    assert piece.lost_h == 3
    assert Piece("a", "USD", spent_h=D(3), billed_h=D(2), free_h=D(1)).lost_h == 0
    assert Piece("a", "USD", spent_h=D(3), billed_h=D(4)).lost_h == 0


def test_what_one_visit_bills_too_much_pays_no_other() -> None:
    pieces = [
        Piece("a", "USD", spent_h=D(3), billed_h=D(5)),
        Piece("a", "USD", spent_h=D(2)),
    ]
    (row,) = rows_of(pieces)
    assert (row.spent_h, row.billed_h, row.lost_h) == (5, 5, 2)


def test_a_group_in_two_currencies_has_two_rows_and_nothing_agreed_to_is_not_0() -> None:
    pieces = [
        Piece("a", "USD", spent=D(5)),
        Piece("a", "EUR", spent=D(7), quoted=D(9)),
        Piece("b", "", spent=D(1)),
    ]
    found = rows_of(pieces)
    assert [(row.group, row.currency, row.quoted, row.spent) for row in found] == [
        ("a", "EUR", 9, 7),
        ("a", "USD", None, 5),
        ("b", "", None, 1),
    ]
    assert [(row.currency, row.quoted) for row in totals_of(found)] == [
        ("EUR", 9),
        ("USD", None),
        ("", None),
    ]
    assert found[1].unbilled == 5


def test_the_most_lost_hours_stand_first() -> None:
    found = rows_of([Piece("a", "USD"), Piece("b", "USD", spent_h=D(1))])
    assert [row.group for row in found] == ["b", "a"]
    assert (rows_of([]), totals_of([])) == ([], [])


@given(pieces=PIECES)
def test_each_currency_keeps_its_own_sums(pieces: list[Piece]) -> None:
    totals: dict[str, Row] = {row.currency: row for row in totals_of(rows_of(pieces))}
    assert set(totals) == {piece.currency for piece in pieces}
    for currency, total in totals.items():
        mine = [piece for piece in pieces if piece.currency == currency]
        for name in SUMMED:
            assert getattr(total, name) == sum(getattr(piece, name) for piece in mine)
        quoted = [piece.quoted for piece in mine if piece.quoted is not None]
        assert total.quoted == (sum(quoted) if quoted else None)
