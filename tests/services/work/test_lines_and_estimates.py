"""Lines of a job, their money, and what a hole may take and cost."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.models import JobLine, JobState
from faults.work.services.estimate import estimate
from faults.work.services.lines import (
    add_line,
    correct_line,
    put_line_back,
    rate_on,
    remove_line,
    totals_of,
)
from faults.work.services.told import LineFacts, UnableToBook
from sites.kernel.services.verb_days import UnableToCorrect, UnableToUseDay
from sites.models import Tariff
from tests import make, make_jobs
from tests.services.work.scene import TODAY, TOMORROW, Scene, planned

pytestmark = pytest.mark.django_db


@pytest.fixture
def tariff(scene: Scene) -> Tariff:
    """65 an hour for work and 45 for standing by, since the start of the year."""
    return Tariff.objects.create(
        property=scene.place,
        from_on=date(2025, 1, 1),
        labour_rate=Decimal(65),
        standby_rate=Decimal(45),
    )


def facts(**given: Any) -> LineFacts:
    """An hour and a half of tracing at a given price."""
    usual = {
        "kind": "time",
        "basis": "billable",
        "on": TODAY,
        "what": "tracing",
        "quantity": Decimal("1.5"),
        "unit": "h",
        "unit_price": Decimal(65),
    }
    return LineFacts(**{**usual, **given})


def test_a_line_is_kept_with_who_entered_it(scene: Scene) -> None:
    line = add_line(job=planned(scene), facts=facts(), by=scene.technician, today=TODAY)
    assert (line.amount, line.entered_by) == (Decimal("97.50"), scene.technician)


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"what": " "}, "what"),
        ({"quantity": Decimal(0)}, "quantity"),
        ({"unit": ""}, "unit"),
        ({"unit_price": Decimal(-1)}, "unit_price"),
    ],
)
def test_a_line_that_says_too_little_is_refused(
    scene: Scene, given: dict[str, Any], field: str
) -> None:
    with pytest.raises(UnableToBook) as no:
        add_line(job=planned(scene), facts=facts(**given), by=scene.office, today=TODAY)
    assert no.value.field == field


def test_a_line_of_tomorrow_or_of_a_withdrawn_job_is_refused(scene: Scene) -> None:
    with pytest.raises(UnableToUseDay):
        add_line(job=planned(scene), facts=facts(on=TOMORROW), by=scene.office, today=TODAY)
    gone = make_jobs.job(state=JobState.WITHDRAWN)
    with pytest.raises(UnableToBook, match="withdrawn"):
        add_line(job=gone, facts=facts(), by=scene.office, today=TODAY)


def test_a_finished_job_takes_lines_because_bills_come_late(scene: Scene) -> None:
    done = make_jobs.job(state=JobState.DONE)
    assert add_line(job=done, facts=facts(), by=scene.office, today=TODAY).pk


@pytest.mark.parametrize(("kind", "rate"), [("time", 65), ("standby", 45), ("parts", None)])
def test_who_sees_no_prices_takes_the_rate_of_the_day(
    scene: Scene, tariff: Tariff, kind: str, rate: int | None
) -> None:
    told = facts(kind=kind, unit_price=None, price_by_rate=True)
    line = add_line(job=planned(scene), facts=told, by=scene.technician, today=TODAY)
    assert line.unit_price == (None if rate is None else Decimal(rate))


def test_the_rate_is_that_of_the_day(scene: Scene, tariff: Tariff) -> None:
    tariff.to_on = TODAY
    tariff.save()
    Tariff.objects.create(property=scene.place, from_on=TODAY, labour_rate=Decimal(70))
    assert rate_on(scene.place, "time", TODAY) == 70
    assert rate_on(scene.place, "time", TODAY - timedelta(days=1)) == 65
    assert rate_on(make.place(), "time", TODAY) is None


def test_a_correction_by_one_who_sees_no_price_keeps_the_price(
    scene: Scene, tariff: Tariff
) -> None:
    line = make_jobs.line(job=planned(scene), unit_price=Decimal("50"))
    told = facts(quantity=Decimal(2), unit_price=None, price_by_rate=True)
    correct_line(line=line, facts=told, why="two hours", today=TODAY)
    assert (line.quantity, line.unit_price) == (2, 50)
    assert line.history.first().history_change_reason == "was wrong: two hours"
    with pytest.raises(UnableToCorrect):
        correct_line(line=line, facts=told, why="", today=TODAY)


def test_a_struck_line_counts_nowhere_and_can_be_put_back(scene: Scene) -> None:
    line = make_jobs.line()
    remove_line(line=line, why="twice", today=TODAY)
    assert totals_of([line]) == {}
    assert not JobLine.objects.standing().exists()
    with pytest.raises(UnableToBook, match="struck out already"):
        remove_line(line=line, why="twice", today=TODAY)
    with pytest.raises(UnableToBook, match="Put it back first"):
        correct_line(line=line, facts=facts(), why="x", today=TODAY)
    put_line_back(line=line)
    assert totals_of([line]) == {"billable": Decimal("97.50")}
    with pytest.raises(UnableToBook, match="stands already"):
        put_line_back(line=line)


@pytest.mark.parametrize(
    ("quantity", "price", "amount"),
    [
        ("1", "0.005", "0.01"),
        ("1", "0.0049", "0.00"),
        ("4.5833", "65", "297.91"),
        ("3", "0.335", "1.01"),
    ],
)
def test_money_is_rounded_once_half_a_cent_up(quantity: str, price: str, amount: str) -> None:
    line = JobLine(quantity=Decimal(quantity), unit_price=Decimal(price))
    assert line.amount == Decimal(amount)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["billable", "warranty", "contract"]),
            st.decimals("0.0001", "9999", places=4),
            st.none() | st.decimals("0", "9999", places=4),
        ),
        max_size=12,
    )
)
def test_totals_by_who_pays_add_up_to_the_lines(rows: list[Any]) -> None:
    lines = [JobLine(basis=b, quantity=q, unit_price=p) for b, q, p in rows]
    assert sum(totals_of(lines).values()) == sum(line.amount or 0 for line in lines)


def test_an_estimate_is_a_range_and_names_its_rate(scene: Scene, tariff: Tariff) -> None:
    asked = {
        "length_ft": 3,
        "width_in": 24,
        "depth_in": 18,
        "ground": "firm",
        "other_hours": Decimal("2.65"),
        "standby_hours": Decimal("0.5"),
    }
    found = estimate(scene.place, asked, today=TODAY)
    assert found.digging is not None
    assert found.digging.low_h == pytest.approx(0.593, abs=0.001)
    assert found.digging.high_h == pytest.approx(0.933, abs=0.001)
    assert found.filling_h == pytest.approx(1.0)
    assert found.high is not None
    # 1.75 locate + 0.9333 dig + 1.0 fill + 0.5 repair + 0.4 travel at 65, half an hour at 45.
    assert (found.high.total, found.labour_rate) == (Decimal("320.42"), Decimal(65))
    assert found.low is not None
    assert found.low.total < found.high.total


def test_an_estimate_without_a_rate_has_hours_and_no_money(scene: Scene) -> None:
    asked = {"length_ft": 3, "width_in": 24, "depth_in": 18, "ground": ""}
    found = estimate(scene.place, asked, today=TODAY)
    assert (found.low, found.high) == (None, None)
    assert found.digging is not None
    assert found.digging.low_h < found.digging.high_h


def test_no_figure_is_made_up_for_rock(scene: Scene) -> None:
    asked = {"length_ft": 3, "width_in": 24, "depth_in": 18, "ground": "rock"}
    assert "No figure" in estimate(scene.place, asked, today=TODAY).refusal
