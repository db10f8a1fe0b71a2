"""When all will be back: the page, its words, its files, rights."""

import re
from datetime import timedelta
from typing import Any

import pytest

from reports.ahead.services.words import (
    better_words,
    honest_words,
    none_old_sentence,
    none_old_words,
)
from reports.goals.services.words import headline, trusted
from reports.summaries.services.kept_runs import AHEAD
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
def done(owner: User) -> Run:
    """A company of two years, and its forecast, asked for by the button."""
    clock = make.controller()
    for n in range(24):
        start = make.TODAY - timedelta(days=700 - 28 * n)
        back = start + timedelta(days=40) if n < 20 else None
        make.stopgap(station=make.station(controller=clock), on=start, removed_on=back)
    assert signed_in(owner).post("/ahead/work-out/").status_code == 302
    run = Run.objects.get(service=AHEAD)
    execute_run(run.pk)
    run.refresh_from_db()
    assert run.state == RunState.DONE, run.problem
    return run


def test_before_it_is_worked_out(owner: User) -> None:
    page = open_page(owner, "/ahead/")
    assert "the coming two years are played many times over" in page.words
    assert "month by month" not in page.words


def test_the_months_and_what_would_change_them(owner: User, done: Run) -> None:
    page = open_page(owner, "/ahead/")
    assert "None has been off longer than a year." in page.words
    assert "No crew is set up" in page.words
    assert "what faster answers would bring is not known" in page.words
    assert "Of 29 past forecasts" in page.words
    assert re.fullmatch(r"\d+ \(\d+ to \d+\)", page.rows("changes")[0][1])
    answer = signed_in(owner).get("/ahead/?export=csv")
    lines = b"".join(answer.streaming_content).decode("utf-8-sig").splitlines()
    assert lines[1] == "2025-06-15,4,4,4,4,4"
    assert len(lines) == 26


def test_what_went_wrong_is_said(owner: User) -> None:
    make.stopgap()
    signed_in(owner).post("/ahead/work-out/")
    execute_run(Run.objects.get().pk)
    assert "Too little was seen to look ahead" in open_page(owner, "/ahead/").words


def test_who_sees_no_prices_sees_none_of_it() -> None:
    client = signed_in(make.user(Role.TECHNICIAN))
    for url in ("/ahead/", "/ahead/progress/"):
        assert client.get(url).status_code == 403
    assert client.post("/ahead/work-out/").status_code == 403
    assert not Run.objects.exists()


def test_the_headline_says_more_fewer_or_about() -> None:
    def said(off: int) -> str:
        return headline({"off": off, "half_year": [10, 11, 12, 13, 14]})

    assert said(9).startswith("More will be off in half a year: 10 to 14, now 9")
    assert said(10).startswith("About 12 off in half a year, 10 to 14; now 10")
    assert said(14).startswith("About 12")
    assert said(15).startswith("Fewer will be off")


def test_none_older_than_a_year() -> None:
    assert none_old_words({"none_old_on": None}) == "not within two years"
    assert none_old_words({"none_old_on": "2026-02-01"}) == "2026-02-01"
    assert none_old_sentence({"old": 0}) == "None has been off longer than a year."
    assert "1 has been" in none_old_sentence({"old": 1, "none_old_on": None})
    late = none_old_sentence({"old": 2, "none_old_on": "2026-02-01"})
    assert late == (
        "2 have been off longer than a year. It is 90 % sure that there is a day without any "
        "until 2026-02-01."
    )


def scores(n: int, inside: int, ours: float = 1, same: float = 2, line: float = 3) -> Any:
    each = {"ours": {"inside": inside, "score": ours}, "same": {"score": same},
            "line": {"score": line}}  # fmt: skip
    return {"all": {"forecasts": n, "usual": [15, 20], **each}}


def test_whether_bands_were_honest() -> None:
    assert "records are too short" in honest_words({"all": None})
    assert honest_words(scores(19, 19)).endswith("Too few to tell.")
    assert honest_words(scores(20, 15)).endswith("That is as honest bands do.")
    assert "these were too narrow" in honest_words(scores(20, 14))


def test_which_did_better() -> None:
    assert better_words({"all": None}) == ""
    assert better_words(scores(20, 20)).startswith("It did better")
    assert "“as many as now” did better" in better_words(scores(20, 20, ours=2))
    assert "a straight line did better" in better_words(scores(20, 20, ours=3, line=1))


def test_other_pages_state_no_forecast_that_did_worse_than_a_simple_rule() -> None:
    """Our own choice, no source: a tie goes to the simple rule, as on the forecast's own page."""

    def said(held: Any) -> str:
        return trusted({"off": 11, "half_year": [10, 11, 12, 13, 14], "scores": held})

    for stated in ({"all": None}, scores(7, 0, ours=1.9)):
        assert said(stated) == "About 12 off in half a year, 10 to 14; now 11"
    for ours in (2, 2.1):
        words = said(scores(7, 0, ours=ours))
        assert words == "So far “as many as now” did better than our forecasts: now 11 off"
    words = said(scores(7, 0, ours=2, line=1))
    assert words == "So far a straight line did better than our forecasts; now 11 off"
