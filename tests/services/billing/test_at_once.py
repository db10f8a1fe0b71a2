"""Two people give lines at the same moment, and one of them is cut off: no line is in two batches.

The same holds on PostgreSQL, where `tests/services_real/test_on_postgresql.py` repeats it.
"""

import threading
from collections.abc import Callable
from typing import Any
from unittest.mock import patch

import pytest
from django.db import connection, connections
from django.db.models import Count

from faults.billing.services import giving
from faults.billing.services.giving import give_to_books, take_back_batch
from faults.billing.services.told import UnableToBill
from faults.models import BatchLine, BookBatch, JobLine
from faults.work.services.lines import remove_line
from faults.work.services.told import UnableToBook
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_billing

pytestmark = pytest.mark.django_db(transaction=True)


def in_two_batches() -> list[int]:
    """The lines that stand in more than one batch."""
    rows = BatchLine.objects.filter(is_taken_back=False).order_by().values("line")
    twice = rows.annotate(n=Count("pk")).filter(n__gt=1)
    return list(twice.values_list("line", flat=True))


def at_once(*acts: Callable[[], object]) -> list[BaseException]:
    """Do several things at the same moment, each over a connection of its own; what went wrong."""
    ready, problems = threading.Barrier(len(acts)), []

    def run(act: Callable[[], object]) -> None:
        try:
            ready.wait(timeout=30)
            act()
        except BaseException as problem:
            problems.append(problem)
        finally:
            connections.close_all()

    people = [threading.Thread(target=run, args=(act,)) for act in acts]
    for person in people:
        person.start()
    for person in people:
        person.join(timeout=60)
    return problems


def giving_of(owner: User, *lines: JobLine) -> Callable[[], object]:
    """Give these lines, read again as a page that is open would hold them."""
    rows = [JobLine.objects.get(pk=line.pk) for line in lines]
    return lambda: give_to_books(lines=rows, given_on=make.TODAY, by=owner, today=make.TODAY)


@pytest.mark.parametrize("turn", range(4))
def test_of_two_who_give_the_same_line_one_is_refused_whole(turn: int) -> None:
    owner = make.user(Role.OWNER)
    first, shared, last = (make_billing.line() for _ in range(3))
    orders = [(first, shared), (shared, last)]
    acts = [giving_of(owner, *reversed(each) if turn % 2 else each) for each in orders]
    problems = at_once(*acts)
    assert [type(problem) for problem in problems] == [UnableToBill]
    assert BookBatch.objects.count() == 1
    assert BatchLine.objects.count() == 2
    assert in_two_batches() == []


def test_a_line_is_struck_or_given_and_never_both() -> None:
    owner, line = make.user(Role.OWNER), make_billing.line()
    opened = JobLine.objects.get(pk=line.pk)
    problems = at_once(
        giving_of(owner, line),
        lambda: remove_line(line=opened, why="twice", today=make.TODAY),
    )
    assert [type(one) in (UnableToBill, UnableToBook) for one in problems] == [True]
    line.refresh_from_db()
    assert (line.removed_on is None) == BatchLine.objects.filter(line=line).exists()


def test_a_batch_taken_back_while_its_line_is_given_leaves_it_in_one_at_most() -> None:
    owner, line = make.user(Role.OWNER), make_billing.line()
    batch = make_billing.batch(line, by=owner)
    at_once(
        lambda: take_back_batch(batch=batch, why="wrong", today=make.TODAY),
        giving_of(owner, line),
    )
    batch.refresh_from_db()
    assert batch.taken_back_on == make.TODAY
    assert in_two_batches() == []


def test_cut_off_half_way_nothing_of_the_batch_is_there_and_its_lines_are_given_by_another() -> (
    None
):
    owner = make.user(Role.OWNER)
    lines = [make_billing.line() for _ in range(3)]
    written: list[BatchLine] = []

    def cut_off(line: JobLine) -> BatchLine:
        if written:
            # As a killed process leaves it: the connection is gone, and nothing was committed.
            assert connection.connection is not None
            connection.connection.close()
        entry = real(line)
        written.append(entry)
        return entry

    real: Any = giving.entry_of
    with patch.object(giving, "entry_of", cut_off):
        (problem,) = at_once(giving_of(owner, *lines))
    assert not isinstance(problem, UnableToBill)
    assert len(written) == 2
    assert (BookBatch.objects.count(), BatchLine.objects.count()) == (0, 0)
    make_billing.batch(*lines, by=owner)
    assert (BookBatch.objects.count(), BatchLine.objects.count()) == (1, 3)
    assert in_two_batches() == []


def test_the_database_holds_it_where_the_check_is_gone() -> None:
    """Without its own look, the verb still ends in a refusal in words."""
    owner, line = make.user(Role.OWNER), make_billing.line()
    make_billing.batch(line, by=owner)
    with (
        patch.object(giving, "given_already", return_value={}),
        pytest.raises(UnableToBill, match="given to the books meanwhile"),
    ):
        make_billing.batch(line, by=owner)
    assert BookBatch.objects.count() == 1
