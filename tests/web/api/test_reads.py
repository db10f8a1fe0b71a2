"""What programs read is what pages and exports show, page by page, and never more."""

import csv
import io
import zipfile
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from reports.api.services.register import SERVED, name_of
from reports.off_central.queries import off_central_rows
from reports.summaries.services.summaries import keep_summaries
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import Property
from tests import make, make_jobs, make_prices
from tests.cast import OURS, THEIRS, make_cast, make_corner
from tests.make_tokens import all_of, ask, token
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db
LISTS = [
    *(f"/register/{name}" for name in SERVED),
    *("/off-central", "/meters", "/faults", "/jobs", "/due", "/decisions"),
]


def test_each_column_has_a_name_of_its_own() -> None:
    for name, sheet in SERVED.items():
        names = [name_of(column) for column in sheet.kind.columns]
        assert len(names) == len(set(names)), name


def test_the_register_is_the_exported_one_cell_by_cell() -> None:
    ours = make_corner(OURS)
    make_corner(THEIRS)
    make.leg(property=ours.property, length_ft=85.5)
    owner = make.user(Role.OWNER)
    answer: Any = signed_in(owner).get("/export/register/")
    packed = zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content)))
    secret = token(owner)
    compared = 0
    for name, sheet in SERVED.items():
        lines = list(csv.DictReader(io.StringIO(packed.read(f"{name}.csv").decode("utf-8-sig"))))
        rows = all_of(secret, f"/register/{name}", limit=1)
        assert len(rows) == len(lines), name
        headings = {column.heading: name_of(column) for column in sheet.kind.columns}
        told = sorted(
            sorted((headings[heading], cell) for heading, cell in line.items() if cell)
            for line in lines
        )
        sent = sorted(
            sorted((key, _as_cell(value)) for key, value in row.items() if value is not None)
            for row in rows
        )
        assert sent == told, name
        compared += len(lines)
    assert compared > 15


def _as_cell(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def test_pages_lose_and_double_nothing_while_others_write() -> None:
    place, secret = make.place(), token(make.user(Role.OWNER))
    clock = make.controller(property=place)
    before = [make.station(controller=clock, number=number) for number in range(10, 20)]
    first = ask(secret, "/register/stations", {"limit": 4}).json()
    seen = [row["ref"] for row in first["items"]]
    # One that was read goes, one that was not read goes, and one comes in before all.
    for gone in (before[1], before[6]):
        gone.retired_on = date(2025, 1, 1)
        gone.save()
    make.station(controller=clock, number=1)
    cursor = first["next"]
    while cursor:
        page = ask(secret, "/register/stations", {"limit": 4, "cursor": cursor}).json()
        seen += [row["ref"] for row in page["items"]]
        cursor = page["next"]
    assert len(seen) == len(set(seen))
    assert {each.ref for each in before} - {before[6].ref} <= set(seen)


@pytest.mark.parametrize("path", LISTS)
def test_a_page_holds_its_limit_and_the_next_one_the_rest(path: str) -> None:
    _two_of_everything()
    secret = token(make.user(Role.OWNER))
    whole = ask(secret, path, {"limit": 500}).json()
    assert whole["next"] is None
    one = ask(secret, path, {"limit": 1}).json()
    if len(whole["items"]) > 1:
        assert len(one["items"]) == 1
        assert one["next"]
    assert all_of(secret, path, limit=1) == whole["items"]


@as_one_change()
def _two_of_everything() -> None:
    for word in (OURS, THEIRS):
        corner = make_corner(word)
        make_jobs.job(fault=corner.fault)


@pytest.mark.parametrize("path", [*LISTS, "/hotspots"])
def test_a_page_asks_as_often_for_thirty_rows_as_for_three(path: str) -> None:
    owner = make.user(Role.OWNER)
    secret = token(owner)
    asked = []
    place = make.place(code="ELM")
    clock = make.controller(property=place, name="A")
    for numbers in (range(1, 4), range(4, 31)):
        with as_one_change():
            for number in numbers:
                station = make.station(controller=clock, number=number)
                make.stopgap(station=station, on=date(2025, 2, 1))
                make_jobs.job(fault=make.fault(station, key=f"F{number}"))
        keep_summaries(at=timezone.now(), go_on=lambda: True)
        with CaptureQueriesContext(connection) as queries:
            assert ask(secret, path, {"limit": 50}).status_code == 200
        asked.append(len(queries))
    assert asked[0] == asked[1] <= 25


def test_off_central_is_what_the_page_shows_today_and_on_a_past_day() -> None:
    place = make.place()
    clock = make.controller(property=place)
    first, second = make.station(controller=clock), make.station(controller=clock)
    make.stopgap(station=first, on=date(2025, 2, 1), removed_on=date(2025, 3, 1))
    make.stopgap(station=second, on=date(2025, 2, 20))
    owner = make.user(Role.OWNER)
    secret = token(owner)

    def off(day: str | None) -> list[str]:
        return [
            r["station_ref"]
            for r in all_of(secret, "/off-central", **({"day": day} if day else {}))
        ]

    assert off("2025-01-31") == []
    assert off("2025-02-01") == [first.ref]
    assert set(off("2025-02-28")) == {first.ref, second.ref}
    assert off("2025-03-01") == [second.ref]
    (row,) = all_of(secret, "/off-central")
    (shown,) = off_central_rows(owner)
    assert (row["station_ref"], row["reason"], row["waits_on"]) == (
        second.ref,
        shown.reason,
        shown.waits_on,  # type: ignore[attr-defined]
    )
    assert row["since"] == "2025-02-20"
    assert row["days"] == (timezone.localdate() - date(2025, 2, 20)).days


def test_money_of_a_meter_goes_only_to_who_sees_prices() -> None:
    place = make.place()
    station = make.station(controller=make.controller(property=place))
    make.stopgap(station=station, on=date(2025, 2, 1))
    meter = station.spells.get().meter
    type(meter).objects.filter(pk=meter.pk).update(
        cost=12.5, months=1, months_known=1, months_priced=1, excess_gal=100.0
    )
    (seen,) = all_of(token(make.user(Role.OWNER)), "/meters")
    (hidden,) = all_of(token(make.user(Role.TECHNICIAN)), "/meters")
    assert (seen["excess_gal"], seen["cost"]) == (100.0, 12.5)
    assert (hidden["excess_gal"], hidden["cost"]) == (100.0, None)


def test_what_a_client_was_paid_goes_only_to_who_sees_prices() -> None:
    make_prices.price_list(currency="EUR", from_on=date(2020, 1, 1))
    clock = make.controller(property=make.place())
    sums = {"F1": Decimal("150.50"), "F2": Decimal(0), "F3": None}
    for key, penalty in sums.items():
        make.fault(make.station(controller=clock), key=key, penalty=penalty)
    owner, technician = token(make.user(Role.OWNER)), token(make.user(Role.TECHNICIAN))

    def paid(secret: str) -> dict[str, tuple[float | None, str | None]]:
        rows = all_of(secret, "/faults")
        return {row["key"]: (row["paid_to_client"], row["currency"]) for row in rows}

    # Nothing paid is 0, and what nobody entered is not known.
    assert paid(owner) == {"F1": (150.5, "EUR"), "F2": (0, "EUR"), "F3": (None, None)}
    assert paid(technician) == dict.fromkeys(sums, (None, None))
    (first,) = (row for row in all_of(owner, "/faults") if row["key"] == "F1")
    assert ask(owner, f"/faults/{first['ref']}").json() == first
    assert ask(technician, f"/faults/{first['ref']}").json()["paid_to_client"] is None


def test_what_a_client_was_paid_at_the_property_of_another_stays_there() -> None:
    make_prices.price_list(currency="EUR", from_on=date(2020, 1, 1))
    ours, theirs = make.place(), make.place()
    for place in (ours, theirs):
        station = make.station(controller=make.controller(property=place))
        make.fault(station, key="F1", penalty=Decimal(80))
    secret = token(make.user(Role.DISPATCHER, client=ours.client))
    rows = all_of(secret, "/faults")
    assert [(row["property_code"], row["paid_to_client"]) for row in rows] == [(ours.code, 80)]


def test_a_property_that_is_not_seen_is_not_there() -> None:
    ours, theirs = make.place(code="ELM"), make.place(code="OAK")
    secret = token(make.user(Role.CLIENT, client=ours.client))
    assert ask(secret, "/register/stations", {"property": "elm"}).status_code == 200
    assert ask(secret, "/register/stations", {"property": theirs.code}).status_code == 404


def test_nothing_of_another_client_ever_comes_out() -> None:
    ours = make_corner(OURS)
    cast = make_cast(ours, make_corner(THEIRS))
    for person, other in (("client_user", THEIRS), ("outsider", OURS), ("tracer", THEIRS)):
        secret = token(getattr(cast, person))
        for path in [*LISTS, "/hotspots", "/changes?since=2000-01-01T00:00:00Z"]:
            answer = ask(secret, path)
            assert answer.status_code in {200, 403}
            assert other not in answer.content.decode().lower(), (person, path)
    whole = ask(token(cast.owner), "/register/stations").content.decode().lower()
    assert OURS in whole
    assert THEIRS in whole


def test_changes_come_once_in_order_from_a_moment_on() -> None:
    secret = token(make.user(Role.OWNER))
    start = timezone.now()
    place: Property = make.place()
    station = make.station(controller=make.controller(property=place))
    station.name = "front lawn"
    station.save()
    found = all_of(secret, "/changes", since=start.isoformat(), limit=1)
    assert [(each["kind"], each["ref"], each["change"]) for each in found] == [
        ("property", place.ref, "added"),
        ("controller", station.controller.ref, "added"),
        ("station", station.ref, "added"),
        ("station", station.ref, "changed"),
    ]
    last = found[-1]["at"]
    after = (timezone.datetime.fromisoformat(last) + timedelta(milliseconds=1)).isoformat()
    assert all_of(secret, "/changes", since=last, limit=9)[-1] == found[-1]
    assert all_of(secret, "/changes", since=after) == []


@pytest.mark.parametrize(
    ("since", "count"),
    [
        # One minute before the first, and one after the last day in UTC that Python knows.
        ("0001-01-01T00:00:00+00:01", 1),
        ("0001-01-01T00:01:00+00:01", 1),
        ("1969-12-31T23:59:59Z", 1),
        ("9000-01-01T00:00:01Z", 0),
        ("9999-12-31T23:59:59-00:01", 0),
    ],
)
def test_moments_beyond_all_changes_are_taken(since: str, count: int) -> None:
    secret = token(make.user(Role.OWNER))
    make.place()
    assert len(all_of(secret, "/changes", since=since)) == count
