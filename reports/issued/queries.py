"""Who sees which reports, and reads of what happened in a period."""

from collections.abc import Collection
from datetime import date, datetime
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from faults.access import stops_for
from faults.models import (
    Break,
    Fault,
    FaultPhoto,
    FaultStation,
    Proof,
    Round,
    RoundVisit,
    StageMove,
)
from reports.models import Audience, Draft, Report, ReportChange, ReportSeries
from sites.kernel.access import may_everywhere
from sites.kernel.engines.roles import Action, Role, allows, roles_with
from sites.models import Client, Grant, Property, SpellPart, User
from sites.register.queries.stations import TO_PROPERTY

CLIENTS = frozenset({Role.CLIENT})


def reports_for(user: User) -> QuerySet[Report]:
    """Return the issued reports that the user may see, newest first.

    Clients see what was issued to them, with the prices that were issued with it. Of our people
    those see prices who see them elsewhere. What is about all properties of a client, or about
    all properties, is seen by those alone whose role holds on all of these.
    """
    ours = _scope(user, roles_with(Action.SEE_REPORTS) - CLIENTS)
    priced = _scope(user, roles_with(Action.SEE_RATES) & roles_with(Action.SEE_REPORTS))
    theirs = _scope(user, CLIENTS) & Q(audience=Audience.CLIENT)
    rows = Report.objects.filter((ours & Q(shows_prices=False)) | priced | theirs)
    related = ("property", "client", "made_by", "issued_by", "change")
    return rows.select_related(*related).defer("document").order_by("-issued_at", "-pk")


def reports_seen_by(user: User, series: ReportSeries) -> bool:
    """Return whether a user would see the reports of a series, saved or not: as `reports_for`."""
    about = Report(property=series.property, client=series.client)
    return any(
        _covers(grant, about) and _reads(Role(grant.role), series) for grant in user.held_grants
    )


def _covers(grant: Grant, report: Report) -> bool:
    if grant.client_id is None and grant.property_id is None:
        return True
    place = report.property
    if place is None:
        return report.client_id is not None and grant.client_id == report.client_id
    return grant.client_id == place.client_id or grant.property_id == place.pk


def _reads(role: Role, series: ReportSeries) -> bool:
    if role in CLIENTS:
        return series.audience == Audience.CLIENT
    asked = Action.SEE_RATES if series.shows_prices else Action.SEE_REPORTS
    return allows(role, asked) and allows(role, Action.SEE_REPORTS)


def _scope(user: User, roles: Collection[Role]) -> Q:
    """The condition on what a report is about, by the user's grants of these roles."""
    grants = [grant for grant in user.held_grants if Role(grant.role) in roles]
    if any(grant.client_id is None and grant.property_id is None for grant in grants):
        return ~Q(pk__in=[])
    clients = {grant.client_id for grant in grants if grant.client_id}
    places = {grant.property_id for grant in grants if grant.property_id}
    return Q(property__client__in=clients) | Q(property__in=places) | Q(client__in=clients)


def drafts_for(user: User) -> QuerySet[Draft]:
    """Return the drafts that the user may look at and issue, newest first."""
    rows = Draft.objects.filter(_scope(user, roles_with(Action.ISSUE_REPORTS)))
    related = ("property", "client", "fault", "made_by", "desk", "again_of")
    return rows.select_related(*related).order_by("-made_at", "-pk")


def series_for(user: User) -> QuerySet[ReportSeries]:
    """Return the series that the user may change."""
    rows = ReportSeries.objects.filter(_scope(user, roles_with(Action.ISSUE_REPORTS)))
    return rows.select_related("property", "client", "desk").order_by("ended_on", "pk")


def sees_all(user: User) -> bool:
    """Return whether the user may issue what is about all properties."""
    return may_everywhere(user, Action.ISSUE_REPORTS)


def issuing_clients(user: User) -> set[int] | None:
    """Return the keys of the clients of whom the user may report all; None for any."""
    grants = [each for each in user.held_grants if allows(Role(each.role), Action.ISSUE_REPORTS)]
    if any(grant.client_id is None and grant.property_id is None for grant in grants):
        return None
    return {grant.client_id for grant in grants if grant.client_id}


def clients_to_report(user: User) -> list[Client]:
    """Return the clients of whom the user may report all properties, by name."""
    allowed = issuing_clients(user)
    rows = Client.objects.all() if allowed is None else Client.objects.filter(pk__in=allowed)
    return list(rows.order_by("name", "pk"))


def rounds_to_report(user: User) -> QuerySet[Round]:
    """Return the rounds that go to a property on which the user may issue reports."""
    stops = stops_for(user, Action.ISSUE_REPORTS)
    return Round.objects.filter(pk__in=stops.values("round"))


def whose_round(user: User, the_round: Round) -> dict[str, Any]:
    """Return of which properties of a round the user may report.

    By `places`, in the order of going, by `clients`, of all of whose properties they may, and
    whether of it as a whole, which is no client's to read.
    """
    stops = stops_for(user, Action.ISSUE_REPORTS).filter(round=the_round)
    rows = stops.select_related("property__client").order_by("taken_out_on", "number", "pk")
    places = [stop.property for stop in rows]
    there = {place.client_id for place in places}
    clients = [client for client in clients_to_report(user) if client.pk in there]
    is_whole = sees_all(user) and len(clients) > 1
    return {"places": places, "clients": clients, "is_whole": is_whole}


def newest_turn(the_round: Round, today: date) -> date | None:
    """Return when the newest turn of a round began; None before the first."""
    rows = RoundVisit.objects.filter(round=the_round, begins_on__lte=today)
    newest = rows.order_by("-begins_on", "-turn", "pk").first()
    return newest.begins_on if newest else None


def compared_at(report: Report) -> datetime | None:
    """Return when a report was compared with the records last; None where it never was."""
    return ReportChange.objects.filter(report=report).values_list("compared_at", flat=True).first()


def change_of(report: Report) -> ReportChange | None:
    """Return what was corrected since a report was issued, where anything was."""
    return ReportChange.objects.filter(report=report).exclude(changes=[]).first()


def with_seen(rows: QuerySet[Report], by: User) -> QuerySet[Report]:
    """Add `is_seen`: whether the user has opened it."""
    mine = Report.objects.filter(pk=OuterRef("pk"), seen__user=by)
    return rows.annotate(is_seen=Exists(mine))


def parts_between(place: Property, from_on: date, until_on: date) -> list[SpellPart]:
    """Return the parts of spells that began or ended within these days, both included."""
    began = Q(from_on__range=(from_on, until_on))
    ended = Q(to_on__range=(from_on, until_on))
    rows = SpellPart.objects.filter(began | ended, **{TO_PROPERTY: place})
    return list(
        rows.select_related("station__controller", "spell").order_by("from_on", "station", "pk")
    )


def parts_on(place: Property, day: date) -> list[SpellPart]:
    """Return a part for each station that was off central control on a day, the longest first."""
    rows = SpellPart.objects.on(day).filter(**{TO_PROPERTY: place})
    rows = rows.select_related("station__controller", "spell", "stopgap")
    return list(
        rows.order_by("spell__from_on", "station__controller__name", "station__number", "pk")
    )


def stations_off_between(place: Property, from_on: date, until_on: date) -> list[int]:
    """Return the keys of the stations that were off central control on any of these days."""
    rows = SpellPart.objects.filter(from_on__lte=until_on, **{TO_PROPERTY: place})
    rows = rows.filter(Q(to_on__isnull=True) | Q(to_on__gt=from_on))
    return sorted(set(rows.order_by().values_list("station", flat=True)))


def faults_between(place: Property, from_on: date, until_on: date) -> list[Fault]:
    """Return the faults that were open on any of these days, with all that is told of them."""
    rows = Fault.objects.filter(property=place, reported_on__lte=until_on)
    rows = rows.filter(Q(closed_on__isnull=True) | Q(closed_on__gte=from_on))
    return list(with_details(rows).order_by("reported_on", "pk"))


def with_details(rows: QuerySet[Fault]) -> QuerySet[Fault]:
    """Read with faults their stations with moves and proofs, their breaks and their photos."""
    breaks = Break.objects.select_related("leg__from_point", "leg__to_point", "from_point")
    moves = StageMove.objects.order_by("on", "moved_at", "pk")
    proofs = Proof.objects.select_related("volts", "ohms", "insulation").order_by("on", "pk")
    stations = FaultStation.objects.select_related("station__controller").prefetch_related(
        Prefetch("moves", moves), Prefetch("proofs", proofs)
    )
    in_order = ("station__controller__name", "station__number", "pk")
    photos = FaultPhoto.objects.filter(hidden_on__isnull=True).order_by("added_at", "pk")
    return rows.select_related("property").prefetch_related(
        Prefetch("stations", stations.order_by(*in_order)),
        Prefetch("breaks", breaks.order_by("running_number", "pk")),
        Prefetch("photos", photos.select_related("of_break")),
    )
