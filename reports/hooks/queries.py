"""Which programs are told, by whom they were set up, and what was sent to them."""

from collections.abc import Collection
from datetime import datetime

from django.db.models import Count, Max, Q, QuerySet

from faults.due.services.outbox import waiting_to_be_sent
from reports.hooks.engines.retrying import LONGEST_WAIT
from reports.issued.queries import reports_for
from reports.models import Delivery, Receiver, Report
from sites.kernel.access import may_everywhere, stations_for
from sites.kernel.engines.roles import Action
from sites.models import CentralState, SpellPart, Station, User
from sites.models.controller import Central

RELATED = ("user", "client", "property")
MOST_SHOWN = 100
# What a report says, of which nothing is wanted here.
LARGE = ("report__document", "report__state")


def receivers_for(user: User) -> QuerySet[Receiver]:
    """Return the programs that a user may look after: one's own; an owner of everything, all."""
    rows = Receiver.objects.select_related(*RELATED)
    if may_everywhere(user, Action.MANAGE_PEOPLE):
        return rows
    return rows.filter(user=user)


def with_counts(rows: QuerySet[Receiver]) -> QuerySet[Receiver]:
    """Add how many messages wait and were given up, and when the last was accepted."""
    waiting = Q(deliveries__sent_at=None, deliveries__given_up_at=None, deliveries__pk__gt=0)
    return rows.annotate(
        waiting=Count("deliveries", filter=waiting),
        given_up=Count("deliveries", filter=Q(deliveries__given_up_at__isnull=False)),
        last_sent_at=Max("deliveries__sent_at"),
    )


def told_of(kinds: Collection[str]) -> list[Receiver]:
    """Return the programs that are switched on and told of any of these, with their users."""
    rows = Receiver.objects.filter(off_at=None, user__is_active=True).select_related(*RELATED)
    wanted = set(kinds)
    return [row for row in rows.order_by("pk") if row.kind_set() & wanted]


def stations_seen(user: User, stations: Collection[int]) -> set[int]:
    """Return the keys of those stations that the user sees to be off central control."""
    rows = stations_for(user, Action.SEE_OFF_CENTRAL).filter(pk__in=stations)
    return set(rows.order_by().values_list("pk", flat=True))


def is_report_seen(user: User, report: Report) -> bool:
    """Return whether the user sees an issued report."""
    return reports_for(user).filter(pk=report.pk).exists()


def last_parts(stations: Collection[int]) -> dict[int, SpellPart]:
    """Return the last part of a spell of each station that has one, by the station's key."""
    related = ("station__controller__property", "spell", "stopgap")
    rows = SpellPart.objects.filter(station__in=stations).select_related(*related)
    return {row.station_id: row for row in rows.order_by("from_on", "pk")}


def named_stations(stations: Collection[int]) -> dict[int, Station]:
    """Return stations with their controllers and properties, by key."""
    rows = Station.objects.select_related("controller__property").filter(pk__in=stations)
    return {row.pk: row for row in rows.order_by("pk")}


def not_meant(controllers: Collection[int]) -> list[CentralState]:
    """Return the days on which controllers are not meant for central."""
    rows = CentralState.objects.filter(controller__in=controllers, state=Central.NOT_MEANT)
    return list(rows.order_by("pk"))


def deliveries_of(receiver: Receiver) -> list[Delivery]:
    """Return what was sent or waits to be sent to a program, the newest first."""
    rows = receiver.deliveries.select_related("station__controller__property", "report")
    newest = rows.defer(*LARGE).order_by("-made_at", "-pk")
    return list(newest[:MOST_SHOWN])


def deliveries_for(user: User) -> QuerySet[Delivery]:
    """Return the messages to programs that the user may look after."""
    rows = Delivery.objects.filter(receiver__in=receivers_for(user).values("pk"))
    return rows.select_related("receiver")


def to_send(*, at: datetime) -> QuerySet[Delivery]:
    """Return the messages that may be tried now, but those to programs that are switched off."""
    return Delivery.objects.filter(may_be_claimed(at), receiver__off_at=None)


def may_be_claimed(at: datetime) -> Q:
    """Return the condition on a message's own columns that it may be tried now."""
    return waiting_to_be_sent(at=at, longest_wait=LONGEST_WAIT)


def with_its_receiver(pk: int) -> Delivery:
    """Return a message with all that sending it needs."""
    related = (f"receiver__{name}" for name in RELATED)
    return Delivery.objects.select_related("report", *related).defer(*LARGE).get(pk=pk)
