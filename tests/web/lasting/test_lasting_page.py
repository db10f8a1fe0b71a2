"""How long stopgaps last: the page before, while and after it is worked out, its files, rights."""

from datetime import date, timedelta

import pytest

from reports.summaries.services.kept_runs import LASTING
from sites.kernel.engines.roles import Role
from sites.models import Run, RunState, User
from sites.runs.services import execute_run
from tests import make
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER)


@pytest.fixture
def clock(db: None) -> None:
    """Six stations were off for 20 to 25 days, one still is."""
    controller = make.controller()
    for n in range(7):
        start = date(2025, 1, 1) + timedelta(days=n)
        ended = start + timedelta(days=20 + n) if n < 6 else None
        make.stopgap(station=make.station(controller=controller), on=start, removed_on=ended)


def work_out(user: User) -> Run:
    """Ask for it as the button does, and do it as a worker would."""
    assert signed_in(user).post("/lasting/work-out/").status_code == 302
    run = Run.objects.get(service=LASTING)
    assert "Under way" in open_page(user, "/lasting/").words
    execute_run(run.pk)
    run.refresh_from_db()
    return run


def test_nothing_is_shown_before_it_is_worked_out(owner: User) -> None:
    page = open_page(owner, "/lasting/")
    assert "is worked out again each day" in page.words
    assert "Half" not in page.words


def test_half_are_over_after_so_many_days(owner: User, clock: None) -> None:
    run = work_out(owner)
    assert run.state == RunState.DONE, run.problem
    page = open_page(owner, "/lasting/")
    assert "Half of all times off central are over after 23 days" in page.words
    assert "From 7 times, of which 1 go on." in page.words
    assert "As of 2025-06-15 17:00." in page.words
    assert "back, nobody wrote how" in page.words
    assert signed_in(owner).get("/lasting/progress/").headers["HX-Refresh"] == "true"


def test_a_file_holds_each_step(owner: User, clock: None) -> None:
    work_out(owner)
    answer = signed_in(owner).get("/lasting/?export=csv")
    lines = b"".join(answer.streaming_content).decode("utf-8-sig").splitlines()
    heads, first = lines[0].split(","), lines[1].split(",")
    row = dict(zip(heads, first, strict=True))
    assert (row["Times off"], row["Over"], row["Half are over by day"]) == ("7", "6", "23")
    assert (row["Day"], row["At risk"], row["Share that still lasts"]) == ("20", "7", "0.8571")


def test_too_few_are_said_to_be_too_few(owner: User) -> None:
    make.stopgap(on=date(2025, 1, 1))
    work_out(owner)
    page = open_page(owner, "/lasting/")
    assert "at least five have to be seen at once" in page.words
    assert "What share is still off" not in page.words


def test_what_went_wrong_is_said(owner: User) -> None:
    make.station()
    assert work_out(owner).state == RunState.FAILED
    assert "No station has been off central control yet." in open_page(owner, "/lasting/").words


def test_who_sees_no_prices_sees_none_of_it() -> None:
    client = signed_in(make.user(Role.TECHNICIAN))
    for url in ("/lasting/", "/lasting/progress/"):
        assert client.get(url).status_code == 403
    assert client.post("/lasting/work-out/").status_code == 403
    assert not Run.objects.exists()
    assert signed_in(make.user(Role.DISPATCHER)).get("/lasting/").status_code == 200
