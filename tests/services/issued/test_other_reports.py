"""The owner's quarter, all properties of a client, the proof of work, evidence of damage.

What is counted is counted by hand here, or is what the pages themselves count.
"""

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from faults.models import Fault, JobState, LineBasis
from reports.issued.services.composing import compose
from reports.models import Audience, Choice, Decision, Goal, ReportKind
from reports.summaries.services.kept_runs import AHEAD, scope_of
from sites.documents.engines.document import Document, Facts, Paragraph, Table
from sites.models import Property, Run, RunState
from tests import make, make_billing, make_due, make_jobs, make_reports
from tests.make_reports import AT, FIRST, LAST

pytestmark = pytest.mark.django_db


@pytest.fixture
def place(db: None) -> Property:
    return make_reports.court()


def tables(document: Document) -> dict[str, list[list[str]]]:
    return {
        f"{section.key}: {block.key}": [[cell.words for cell in row] for row in block.rows]
        for section in document.sections
        for block in section.blocks
        if isinstance(block, Table)
    }


def facts(document: Document) -> dict[str, str]:
    return {
        name: figure.words
        for section in document.sections
        for block in section.blocks
        if isinstance(block, Facts)
        for name, figure in block.rows
    }


def sentences(document: Document) -> str:
    return " ".join(
        block.words
        for section in document.sections
        for block in section.blocks
        if isinstance(block, Paragraph)
    )


def of_owner() -> Document:
    ours = {"kind": ReportKind.OWNER.value, "audience": Audience.US.value}
    return compose(make_reports.asked(None, **ours), at=AT, by=None)


def of_fault(fault: Fault, kind: ReportKind, **given: object) -> Document:
    asked = make_reports.asked(
        fault.property, kind=kind.value, fault=fault, from_on=fault.reported_on, **given
    )
    return compose(asked, at=AT, by=None)


def visited(fault: Fault, day: date) -> None:
    at = datetime(day.year, day.month, day.day, 12, tzinfo=ZoneInfo(fault.property.time_zone))
    make_jobs.job(
        fault=fault,
        property=fault.property,
        state=JobState.DONE,
        started_at=at,
        ended_at=at + timedelta(hours=1),
        day=day,
        actual_minutes=60,
    )


@pytest.mark.parametrize(("days", "kept"), [(-1, 1), (0, 1), (1, 0), (None, 0)])
def test_a_promise_is_kept_by_a_visit_on_its_day_at_the_latest(
    place: Property, days: int | None, kept: int
) -> None:
    promised = date(2025, 9, 10)
    first, second = (
        make.fault(reported_on=date(2025, 9, 1), promised_on=promised, key=f"P-{n}")
        for n in range(2)
    )
    visited(second, promised)
    if days is not None:
        visited(first, promised + timedelta(days=days))
    document = of_owner()
    assert f"{kept + 1} of 2 promises were kept." in sentences(document)
    came = {row[0].partition(": ")[2]: row[2] for row in tables(document)["promises: promises"]}
    told = (promised + timedelta(days=days)).isoformat() if days is not None else "nobody came yet"
    assert came == {"P-0": told, "P-1": "2025-09-10"}


@pytest.mark.parametrize(
    ("days", "hour", "kept"), [(0, 9, 1), (0, 10, 1), (0, 11, 0), (0, 7, 0), (-1, 9, 0)]
)
def test_promised_times_are_kept_by_who_begins_between_them(
    place: Property, days: int, hour: int, kept: int
) -> None:
    promised = date(2025, 9, 10)
    times = {"promised_from": time(8), "promised_until": time(10)}
    fault = make.fault(reported_on=date(2025, 9, 1), promised_on=promised, key="P-0", **times)
    zone = ZoneInfo(fault.property.time_zone)
    began = datetime.combine(promised + timedelta(days=days), time(hour), zone)
    make_jobs.job(fault=fault, state=JobState.DONE, started_at=began, ended_at=began)
    document = of_owner()
    assert f"{kept} of 1 promise was kept." in sentences(document)
    (row,) = tables(document)["promises: promises"]
    assert row[1] == "2025-09-10, 08:00–10:00"


@pytest.mark.parametrize(
    ("promised", "told"), [(FIRST, 1), (LAST, 1), (FIRST - timedelta(days=1), 0),
                           (LAST + timedelta(days=1), 0)],
)  # fmt: skip
def test_promises_are_those_of_the_quarter(place: Property, promised: date, told: int) -> None:
    make.fault(reported_on=date(2025, 6, 1), promised_on=promised)
    assert len(tables(of_owner())["promises: promises"]) == told


def test_the_quarter_counts_all_properties_and_tells_of_how_many_today(place: Property) -> None:
    other = make.station()
    make.stopgap(station=other, on=date(2025, 9, 1))
    found = facts(of_owner())
    assert found["Off at the end of 2025-07-31"] == "2"
    assert found["Off at the end of 2025-10-31"] == "3"
    assert found["Meant for central control"] == "4"
    assert found["Of these off central control"] == "3"
    assert found["On central control"] == "25.0 %"
    rows = tables(of_owner())["off central: properties"]
    assert [row[1] for row in rows] == ["2", "1"]


def test_the_quarter_tells_what_was_decided_in_it(place: Property) -> None:
    for day in (FIRST, LAST, LAST + timedelta(days=1)):
        Decision.objects.create(
            leg=make.leg(property=place), choice=Choice.RENEW, why="old", decided_on=day
        )
    rows = tables(of_owner())["decisions: decisions"]
    assert [row[0] for row in rows] == [FIRST.isoformat(), LAST.isoformat()]


def test_all_properties_of_a_client_side_by_side_with_their_sums(place: Property) -> None:
    second = make.place(client=place.client)
    station = make.station(controller=make.controller(property=second))
    make.stopgap(station=station, on=date(2025, 9, 1))
    make.stopgap(station=make.station(), on=date(2025, 9, 1))
    asked = make_reports.asked(None, kind=ReportKind.CLIENT.value, client=place.client)
    document = compose(asked, at=AT, by=None)
    rows = {row[0]: row[1:] for row in tables(document)["all: properties"]}
    assert rows == {
        str(place): ["2", "1", "1", "2", "1"],
        str(second): ["0", "1", "0", "1", "0"],
        "All": ["2", "2", "1", "3", "1"],
    }
    assert f"changes {place.pk}: changes" in tables(document)


def test_the_proof_tells_of_the_break_the_mend_and_what_was_measured(place: Property) -> None:
    fault = Fault.objects.get(property=place)
    found = tables(of_fault(fault, ReportKind.PROOF))
    assert found["breaks: breaks"][0][4:] == ["rodent", "2025-09-01", "gel splices"]
    assert found["proofs: proofs"][0][2:4] == ["23.6", "31.3"]


def test_the_proof_tells_hours_and_with_money_what_they_come_to(place: Property) -> None:
    fault = Fault.objects.get(property=place)
    job = make_billing.done(fault=fault, property=place)
    make_jobs.line(job=job, quantity=Decimal(2), unit_price=Decimal("65"))
    plain = tables(of_fault(fault, ReportKind.PROOF))["hours: hours"]
    priced = tables(of_fault(fault, ReportKind.PROOF, shows_prices=True))["hours: hours"]
    assert plain == [[str(fault), "1.00"]]
    assert priced[0][:3] == [str(fault), "1.00", "130.00"]


def test_evidence_says_what_is_not_known_and_who_is_liable(place: Property) -> None:
    fault = Fault.objects.get(property=place)
    make_due.notice(fault=fault, property=place, ticket="T-77")
    make_billing.claim(fault=fault, liable_party="Trench and Sons", claim_number="C-9")
    document = of_fault(fault, ReportKind.DAMAGE)
    found = facts(document)
    assert found["Who was on site"] == "not known"
    assert (found["Liable party"], found["Claim number"]) == ("Trench and Sons", "C-9")
    assert found["Paid on"] == "not paid yet"
    assert tables(document)["notices: notices"][0][0] == "T-77"
    assert "claim: cost" not in tables(document)


def test_evidence_with_money_sums_the_lines_for_damage_alone(place: Property) -> None:
    fault = Fault.objects.get(property=place)
    job = make_billing.done(fault=fault, property=place)
    charged = ((LineBasis.DAMAGE, "10"), (LineBasis.DAMAGE, "20.5"), (LineBasis.BILLABLE, "99"))
    for basis, price in charged:
        make_jobs.line(job=job, basis=basis, quantity=Decimal(1), unit_price=Decimal(price))
    document = of_fault(fault, ReportKind.DAMAGE, shows_prices=True)
    assert [row[3] for row in tables(document)["claim: cost"]] == ["10.00", "20.50"]
    assert facts(document)["All"].startswith("30.50 ")


def test_goals_stand_in_the_owners_report_and_in_the_offices_own(place: Property) -> None:
    usual = {"by_on": date(2030, 1, 1), "set_on": FIRST}
    other = make.place(code="OTHER")
    Goal.objects.create(property=None, most_percent=0, **usual)
    Goal.objects.create(property=place, most_percent=99, **usual)
    Goal.objects.create(property=other, most_percent=1, **usual)
    gone = {"taken_back_on": FIRST, "why_taken_back": "too high"}
    Goal.objects.create(property=place, most_percent=7, **usual, **gone)
    rows = tables(of_owner())["goals: goals"]
    assert [(row[0], row[1].split(" by ")[0], row[3]) for row in rows] == [
        ("all properties", "at most 0 %", "no"),
        (str(place), "at most 99 %", "yes"),
        (str(other), "at most 1 %", "not known"),
    ]
    assert {row[4] for row in rows} == {"whether it is on its path is not known"}
    ours = compose(make_reports.asked(place, audience=Audience.US.value), at=AT, by=None)
    assert [row[0] for row in tables(ours)["goals: goals"]] == [str(place)]
    theirs = compose(make_reports.asked(place, audience=Audience.CLIENT.value), at=AT, by=None)
    assert "goals: goals" not in tables(theirs)


def test_goals_in_reports_say_whether_they_are_on_their_path(place: Property) -> None:
    """From the kept forecast of just these properties; of one property's goal from any."""
    usual = {"by_on": date(2030, 1, 1), "set_on": FIRST}
    whole = Goal.objects.create(property=None, most_percent=0, **usual)
    here = Goal.objects.create(property=place, most_percent=99, **usual)
    keys = list(Property.objects.values_list("pk", flat=True))
    kept = {"goals": {whole.ref: 0.39, here.ref: 0.8}, "scores": {"all": None}}
    Run.objects.create(
        service=AHEAD,
        title="forecast",
        state=RunState.DONE,
        asked_at=AT,
        started_at=AT,
        ended_at=AT,
        result=kept,
        arguments={"scope": scope_of(keys)},
    )
    off, on = "off its path: reached in 39 %", "on its path: reached in 80 %"
    rows = tables(of_owner())["goals: goals"]
    assert [row[4].split(" of sim")[0] for row in rows] == [off, on]
    make.place(code="LATER")
    other = tables(of_owner())["goals: goals"]
    assert {row[4] for row in other} == {"whether it is on its path is not known"}
    ours = compose(make_reports.asked(place, audience=Audience.US.value), at=AT, by=None)
    (row,) = tables(ours)["goals: goals"]
    assert row[4].startswith(on)
