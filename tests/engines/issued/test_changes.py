"""What a later document says otherwise than an earlier one."""

from collections.abc import Sequence

from reports.issued.engines.changes import MOST, Changed, changes
from sites.documents.engines.document import Block, Document, Facts, Figure, Section, Table


def document(*sections: Section) -> Document:
    """Return a document of these sections."""
    return Document("Title", "", "en", "letter", [], sections)


def table(*rows: Sequence[str], key: str = "t") -> Table:
    """Return a table of two columns or more."""
    cells = [[Figure(word) for word in row] for row in rows]
    return Table(key, "", [""] * len(rows[0]) if rows else [], cells)


def section(*blocks: Block, key: str = "faults", is_now: bool = False) -> Section:
    """Return a section."""
    return Section(key, "Faults", blocks, is_now=is_now)


def test_the_same_says_nothing() -> None:
    one = document(section(table(("F-1", "rodent"), ("F-2", "root"))))
    assert changes(one, one) == []


def test_lines_in_another_order_are_the_same() -> None:
    one = document(section(table(("F-1", "rodent"), ("F-2", "root"))))
    other = document(section(table(("F-2", "root"), ("F-1", "rodent"))))
    assert changes(one, other) == []


def test_a_line_that_begins_alike_changed() -> None:
    one = document(section(table(("F-1", "rodent", ""), ("F-2", "root", "x"))))
    other = document(section(table(("F-1", "shovel", "2 ft"), ("F-2", "root", "x"))))
    assert changes(one, other) == [Changed("Faults", "F-1", "rodent", "shovel; 2 ft")]


def test_lines_come_and_go() -> None:
    one = document(section(table(("F-1", "rodent"))))
    other = document(section(table(("F-3", "age"))))
    assert changes(one, other) == [
        Changed("Faults", "F-1", "rodent", ""),
        Changed("Faults", "F-3", "", "age"),
    ]


def test_of_two_equal_lines_one_that_is_gone_is_told() -> None:
    one = document(section(table(("F-1", "a"), ("F-1", "a"))))
    assert changes(one, document(section(table(("F-1", "a"))))) == [
        Changed("Faults", "F-1", "a", "")
    ]


def test_a_line_of_one_word_is_told_by_it() -> None:
    one = document(section(table(("F-1",))))
    assert changes(one, document(section(table()))) == [Changed("Faults", "F-1", "F-1", "")]


def test_facts_are_compared_by_their_names() -> None:
    one = document(section(Facts("totals", [("Off", Figure("3", 3)), ("All", Figure("9", 9))])))
    other = document(section(Facts("totals", [("Off", Figure("4", 4)), ("All", Figure("9", 9))])))
    assert changes(one, other) == [Changed("Faults", "Off", "3", "4")]


def test_blocks_are_told_apart_by_their_keys() -> None:
    one = document(section(table(("A", "1"), key="a"), table(("A", "2"), key="b")))
    other = document(section(table(("A", "1"), key="a"), table(("A", "3"), key="b")))
    assert changes(one, other) == [Changed("Faults", "A", "2", "3")]


def test_a_section_that_is_new_or_gone_is_told() -> None:
    with_it, without = document(section(table(("F-1", "a")))), document()
    assert changes(without, with_it) == [Changed("Faults", "F-1", "", "a")]
    assert changes(with_it, without) == [Changed("Faults", "F-1", "a", "")]


def test_what_speaks_of_the_day_it_was_made_on_is_not_compared() -> None:
    one = document(section(table(("F-1", "a")), is_now=True))
    assert changes(one, document(section(table(("F-1", "b")), is_now=True))) == []


def test_no_more_than_a_hundred_are_told() -> None:
    rows = [(f"F-{n}", "a") for n in range(MOST + 1)]
    assert len(changes(document(section(table(*rows))), document())) == MOST == 100
