"""What faults cost this company so far: visits, charges and water, once enough are known."""

from datetime import timedelta

import pytest
from django.utils import timezone

from faults.models import Fault, JobState
from faults.prices.engines.pricing import Charge
from reports.hotspots.services.past import LEAST_FAULTS, past_of, past_words
from sites.models import Tariff
from tests import make, make_jobs, make_prices, make_water
from tests.services.hotspots.trunk import Trunk, trunk

pytestmark = pytest.mark.django_db

TODAY = timezone.localdate


@pytest.fixture
def line() -> Trunk:
    return trunk((100.0,) * 12)


def finished(line: Trunk, minutes: int, **given: object) -> None:
    fault = make.fault(
        make.station(controller=make.controller(property=line.place)),
        reported_on=TODAY() - timedelta(days=100), stage="returned", **given,
    )  # fmt: skip
    make_jobs.started(
        fault=fault, state=JobState.DONE, actual_minutes=minutes, ended_at=make.NOW,
        started_at=timezone.now() - timedelta(days=90), day=TODAY() - timedelta(days=90),
    )  # fmt: skip


def test_own_past_says_what_a_fault_cost_once_there_are_enough() -> None:
    line = trunk()
    make_prices.price_list({Charge.TRACING: 60})
    for n in range(LEAST_FAULTS - 1):
        finished(line, 120 + 60 * n)
    assert past_of([line.place], today=TODAY()) is None
    finished(line, 240)
    # A fault without a visit says nothing of what one costs.
    make.fault(
        make.station(controller=make.controller(property=line.place)),
        reported_on=TODAY(), stage="returned",
    )  # fmt: skip
    past = past_of([line.place], today=TODAY())
    assert past is not None
    # Two, three and four hours at 60.
    assert (past.mean, past.faults, past.left_out) == (180.0, 3, 1)
    assert past.se == pytest.approx(60 / 3**0.5)
    assert past.currency == "USD"


@pytest.mark.parametrize(("days", "currency"), [(91, "USD"), (90, "USD"), (89, "")])
def test_the_money_is_of_the_day_of_the_visit(line: Trunk, days: int, currency: str) -> None:
    """Reported 100 days ago, visited 90 days ago: the list began before, on or after that day."""
    Tariff.objects.create(property=line.place, labour_rate=70)
    made = {"from_on": TODAY() - timedelta(days=days)}
    make_prices.price_list({Charge.TRACING: 60}, **made)
    for _n in range(LEAST_FAULTS):
        finished(line, 60)
    past = past_of([line.place], today=TODAY())
    assert past is not None
    assert past.currency == currency


def test_the_water_of_its_days_off_is_in_what_a_fault_cost(line: Trunk) -> None:
    make_prices.price_list({Charge.TRACING: 60})
    make_water.climate()
    line.place.climate_table = "Valley"
    line.place.save()
    make_water.tariff(line.place)
    for _n in range(LEAST_FAULTS):
        finished(line, 60)
    dry = past_of([line.place], today=TODAY())
    lawn = make_water.lawn(line.place, on=TODAY() - timedelta(days=120))
    fault = make.fault(lawn, reported_on=TODAY() - timedelta(days=100), stage="returned")
    make_jobs.started(
        fault=fault, state=JobState.DONE, actual_minutes=60, ended_at=make.NOW,
        started_at=timezone.now() - timedelta(days=90), day=TODAY() - timedelta(days=90),
    )  # fmt: skip
    wet = past_of([line.place], today=TODAY())
    assert dry is not None
    assert wet is not None
    meter = lawn.spells.get().meter
    assert meter.cost
    assert wet.mean == pytest.approx((3 * 60 + 60 + meter.cost) / 4)


def test_what_a_client_was_paid_is_in_what_a_fault_cost(line: Trunk) -> None:
    """By hand: three faults of an hour at 60, of which one cost 150 more, one nothing more."""
    make_prices.price_list({Charge.TRACING: 60})
    for penalty in (None, "150.00", "0"):
        finished(line, 60, penalty=penalty)
    past = past_of([line.place], today=TODAY())
    assert past is not None
    assert past.mean == pytest.approx((60 + 210 + 60) / 3)
    assert past.paid_for == 1
    assert "For 1 of them the client was paid, as agreed: that is in it." in past_words(past)
    Fault.objects.update(penalty=None)
    past = past_of([line.place], today=TODAY())
    assert past is not None
    assert past.mean == pytest.approx(60)
    assert "the client was paid" not in past_words(past)
