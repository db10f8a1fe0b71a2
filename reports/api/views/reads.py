"""What programs read: the register by its sheets, and the lists of the pages."""

from collections.abc import Callable
from datetime import date
from typing import Annotated, Any

from django.db.models import DateField, Value
from django.http import HttpRequest
from django.utils import timezone
from ninja import Path, Query
from pydantic import AwareDatetime

from faults.prices.queries import currency_of
from reports.api.services.changes import changes_since
from reports.api.services.paging import MOST_ROWS, Slice, page_of_rows
from reports.api.services.register import SERVED, register_page
from reports.api.services.rows import named_station, off_row
from reports.api.services.shapes import (
    ROWS,
    Change,
    FeatureCollection,
    Me,
    Meter,
    OffCentral,
    Page,
)
from reports.api.views.door import Bearer, router, signed_in
from reports.off_central.queries import off_central_rows, off_central_rows_on
from reports.places.services.map import map_of
from sites.export.services.sheets import Wanted
from sites.kernel.access import find, properties_for
from sites.kernel.engines.roles import Action
from sites.models import Property, User
from sites.models import Scope as TokenScope
from sites.register.queries.stations import TO_PROPERTY, latest_today

Limit = Annotated[int, Query(ge=1, le=MOST_ROWS, description="Rows of a page.")]
Cursor = Annotated[str, Query(max_length=200, description="`next` of the page before.")]
Code = Annotated[str, Query(max_length=60, description="Only of the property with this code.")]


def reading(action: Action) -> Bearer:
    """Return what opens an operation that reads."""
    return Bearer(TokenScope.READ, action)


def place_of(user: User, code: str, action: Action) -> Property | None:
    """Return the property of a code, None where none was named; what is not seen is 404."""
    if not code:
        return None
    return find(properties_for(user, action), code__iexact=code.strip())


def one_page(sliced: Slice[Any], shape: Callable[[Any], dict[str, Any]]) -> dict[str, Any]:
    return {"items": [shape(row) for row in sliced.rows], "next": sliced.cursor}


@router.get("/me", response=Me, auth=reading(Action.SEE_REGISTER), tags=["read"], operation_id="me")
def me(request: HttpRequest) -> dict[str, Any]:
    """Whose token this is, and what it opens."""
    user = signed_in(request).user
    token = request.token  # type: ignore[attr-defined]
    return {
        "user": str(user),
        "token": token.name,
        "scopes": sorted(token.scope_set()),
        "roles": sorted({grant.role for grant in user.held_grants}),
        "client": token.client and token.client.name,
        "property_code": token.property and token.property.code,
        "expires_at": token.expires_at,
    }


def _add_sheet(name: str) -> None:
    sheet = SERVED[name]

    @router.get(
        f"/register/{name}",
        response=Page[ROWS[name]],  # type: ignore[valid-type]
        auth=reading(sheet.asks_for),
        tags=["read"],
        operation_id=f"register_{name}",
        summary=f"The register's {name}",
        description=f"The register's {name}: a row for each line of that sheet, by its columns.",
    )
    def rows(
        request: HttpRequest,
        limit: Limit = 100,
        cursor: Cursor = "",
        property: Code = "",  # noqa: A002
    ) -> dict[str, Any]:
        user = signed_in(request).user
        place = place_of(user, property, sheet.asks_for)
        wanted = Wanted(user, place.code if place else "")
        found = register_page(sheet, wanted, cursor=cursor, limit=limit)
        return {"items": found.rows, "next": found.cursor}


for _name in SERVED:
    _add_sheet(_name)


@router.get(
    "/off-central",
    response=Page[OffCentral],
    auth=reading(Action.SEE_OFF_CENTRAL),
    tags=["read"],
    operation_id="off_central",
)
def off_central(
    request: HttpRequest,
    day: Annotated[date | None, Query(description="Today, where none is given.")] = None,
    limit: Limit = 100,
    cursor: Cursor = "",
    property: Code = "",  # noqa: A002
) -> dict[str, Any]:
    """Stations off central control, now or on a past day."""
    user = signed_in(request).user
    is_past = day is not None and day < latest_today(timezone.now())
    rows = off_central_rows_on(user, day) if is_past and day else off_central_rows(user)
    if place := place_of(user, property, Action.SEE_OFF_CENTRAL):
        rows = rows.filter(**{TO_PROPERTY: place})
    return one_page(page_of_rows(rows, cursor=cursor, limit=limit), lambda row: off_row(row, day))


@router.get(
    "/meters",
    response=Page[Meter],
    auth=reading(Action.SEE_OFF_CENTRAL),
    tags=["read"],
    operation_id="meters",
)
def meters(
    request: HttpRequest,
    limit: Limit = 100,
    cursor: Cursor = "",
    property: Code = "",  # noqa: A002
) -> dict[str, Any]:
    """What each station off central control has cost so far; money only where prices are seen."""
    user = signed_in(request).user
    today = latest_today(timezone.now())
    rows = off_central_rows(user).filter(spell__meter__isnull=False)
    rows = rows.annotate(as_of=Value(today, output_field=DateField()))
    rows = rows.annotate(currency=currency_of(TO_PROPERTY, "as_of"))
    if place := place_of(user, property, Action.SEE_OFF_CENTRAL):
        rows = rows.filter(**{TO_PROPERTY: place})
    return one_page(page_of_rows(rows, cursor=cursor, limit=limit), _meter)


def _meter(row: Any) -> dict[str, Any]:
    meter = row.spell.meter
    return {
        **named_station(row.station),
        "since": row.spell.from_on,
        "counted_until": meter.counted_until,
        "excess_gal": meter.excess_gal,
        "shortfall_gal": meter.shortfall_gal,
        "is_least": meter.is_least,
        "cost": row.seen_cost,
        "currency": (row.currency or None) if row.seen_cost is not None else None,
        "cost_is_least": meter.cost_is_least,
        "lacks": meter.lacks.split(),
    }


@router.get(
    "/changes",
    response=Page[Change],
    auth=reading(Action.SEE_REGISTER),
    tags=["read"],
    operation_id="changes",
)
def changes(
    request: HttpRequest,
    since: Annotated[
        AwareDatetime, Query(description="With its zone, such as 2026-05-01T00:00:00Z.")
    ],
    limit: Limit = 100,
    cursor: Cursor = "",
) -> dict[str, Any]:
    """What was added or changed from a moment on, oldest first."""
    found = changes_since(signed_in(request).user, since, cursor=cursor, limit=limit)
    return one_page(
        found,
        lambda row: {"kind": row.kind, "ref": row.ref, "change": row.change, "at": row.at},
    )


@router.get(
    "/map/{code}",
    response=FeatureCollection,
    auth=reading(Action.SEE_REGISTER),
    tags=["read"],
    operation_id="map",
)
def map_of_property(request: HttpRequest, code: Annotated[str, Path(max_length=60)]) -> Any:
    """Points, legs, stations and breaks of the property with this code, as GeoJSON (RFC 7946)."""
    user = signed_in(request).user
    place = find(properties_for(user), code__iexact=code)
    return {"type": "FeatureCollection", "features": list(map_of(user, place))}
