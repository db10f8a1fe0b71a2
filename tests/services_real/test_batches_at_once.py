"""Processes that give lines to the books at the same moment on PostgreSQL: no line is given twice.

Our own rule, no source. They meet at a line that the test locks, so that each is in the middle of
its batch when the other comes, or when it is killed.
"""

from uuid import uuid4

import pytest

from tests.databases import create_from_template
from tests.services_real.needs import wait_until
from tests.services_real.processes import WAITING, ended, held, rows, said, started

pytestmark = pytest.mark.service

LINES = """
from sites.kernel.engines.roles import Role
from tests import make, make_billing
make.user(Role.OWNER)
for n in range(4):
    make_billing.line()
"""
GIVE = """
from faults.billing.services.giving import give_to_books
from faults.billing.services.told import UnableToBill
from faults.models import JobLine
from sites.models import User
from tests import make
lines = list(JobLine.objects.order_by("pk"))[{part}]
try:
    batch = give_to_books(
        lines=lines, given_on=make.TODAY, by=User.objects.get(), today=make.TODAY
    )
    print("given", batch.entries.count())
except UnableToBill as refused:
    print("refused", refused)
"""
# Of the first three and of the last three, the second and third are in both.
FIRST, LAST = (GIVE.format(part=part) for part in (":3", "1:"))
THIRD = "SELECT 1 FROM faults_jobline ORDER BY id OFFSET 2 LIMIT 1 FOR UPDATE"
BATCHES = """
SELECT count(*) FROM faults_batchline WHERE NOT is_taken_back GROUP BY batch_id ORDER BY 1
"""
TWICE = """
SELECT line_id FROM faults_batchline WHERE NOT is_taken_back GROUP BY 1 HAVING count(*) > 1
"""
EMPTY = """
SELECT count(*) FROM faults_bookbatch b
WHERE NOT EXISTS (SELECT 1 FROM faults_batchline WHERE batch_id = b.id)
"""


@pytest.fixture
def url(postgres_url: str) -> str:
    address = create_from_template(postgres_url, f"batches_{uuid4().hex[:12]}")
    said(started(address, LINES))
    return address


def test_of_two_processes_with_shared_lines_one_gives_all_its_own_and_one_is_told(
    url: str,
) -> None:
    with held(url, THIRD, waiting=2):
        both = [started(url, script) for script in (FIRST, LAST)]
    with ended(*both):
        told, given = sorted((said(each) for each in both), reverse=True)
    assert given == "given 3"
    assert told.startswith("refused ")
    assert "given to the books" in told
    assert rows(url, BATCHES) == [(3,)]
    assert rows(url, TWICE) == []
    assert rows(url, EMPTY) == [(0,)]


def test_one_that_is_killed_half_way_leaves_no_batch_and_the_next_gives_the_lines(
    url: str,
) -> None:
    with held(url, THIRD, waiting=1):
        cut_off = started(url, FIRST)
        with ended(cut_off):
            wait_until(lambda: rows(url, WAITING) == [(1,)], what="a wait", seconds=60)
            cut_off.kill()
            assert cut_off.wait() == -9
    with ended(second := started(url, LAST)):
        assert said(second) == "given 3"
    assert rows(url, BATCHES) == [(3,)]
    assert rows(url, TWICE) == []
    assert rows(url, EMPTY) == [(0,)]
    with ended(third := started(url, FIRST)):
        assert said(third).startswith("refused ")
