"""What falls due because of stopgaps: batteries, long spells, stations still in the schedule."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from django.db.models import Exists, Min, OuterRef, Q, QuerySet, Subquery

from faults.due.services.family import Candidate, Family, Told
from faults.models import FollowUpKind
from faults.rounds.engines.turns import not_while_shut_down
from faults.rounds.services.told import season_of
from sites.models import Central, Device, Spell, Stopgap
from sites.stopgaps.engines.battery_life import Fits, fit_lives
from sites.stopgaps.services.batteries import kind_key
from sites.water.services.battery_lives import InUse, conditions_of, lives_by_kind

# A register that was only now loaded says of no stopgap whether central knows of it: what is years
# old would bury what is due today.
LATE_DAYS = 60
IN_CARE = {
    "station__retired_on": None,
    "station__controller__retired_on": None,
    "station__controller__property__retired_on": None,
}


def _devices() -> QuerySet[Any]:
    """Battery timers that run a station now, with the day on which the first was fitted."""
    open_ones = Stopgap.objects.open().filter(device=OuterRef("pk"), **IN_CARE)
    fitted = open_ones.order_by().values("device").annotate(first=Min("counted_from"))
    return (
        Device.objects.filter(Exists(open_ones))
        .select_related("property")
        .annotate(fitted_on=Subquery(fitted.values("first")))
    )


def _batteries(rows: Sequence[Any], told: Told) -> list[Candidate]:
    """A kind of which lives are known is due by them, and by what the timer has to do; else the
    rule's days count.

    What would be due while the property is shut down is due on the shut-down day before: somebody
    is there then, and after the start-up it would stand still. A set of that winter keeps its day.
    """
    if "fits" not in told.kept:
        told.kept["fits"] = fits_by_kind(told.days)
    days = _days_of_sets(rows, told.kept["fits"])
    found = []
    for device in rows:
        since = device.battery_changed_on or device.fitted_on
        due_on = since + timedelta(days=days.get(device.pk, told.days))
        if (season := season_of(device.property)) is not None:
            early = not_while_shut_down(due_on, season)
            due_on = early if early > since else due_on
        found.append(
            Candidate(
                f"device:{device.pk}:{since.isoformat()}",
                device.property_id,
                device.property.time_zone,
                due_on,
                {"device_id": device.pk},
            )
        )
    return found


def _days_of_sets(rows: Sequence[Any], fits: Fits) -> dict[int, int]:
    """Return after how many days each set is due of whose kind lives are known, by its timer."""
    of_kind = {
        device.pk: kind_key(device.battery_kind)
        for device in rows
        if device.battery_changed_on and kind_key(device.battery_kind) in fits.kinds
    }
    sets = [
        InUse(device.pk, since, since + timedelta(days=fits.kinds[of_kind[device.pk]].due_days))
        for device in rows
        if device.pk in of_kind and (since := device.battery_changed_on)
    ]
    found = {}
    for one, conditions in zip(sets, conditions_of(sets), strict=True):
        days = fits.due_days(of_kind[one.device_id], conditions)
        if days is not None:
            found[one.device_id] = days
    return found


def fits_by_kind(rule_days: int) -> Fits:
    """Return what the company's own sets say of each kind; a rule of no days learns nothing."""
    return fit_lives(lives_by_kind(), prior_days=rule_days) if rule_days > 0 else Fits({})


def _spells() -> QuerySet[Any]:
    """Open spells of stations in care whose stopgap the client agreed to: until a day, or at all.

    Where nobody agreed to anything there is nothing that it could be longer than.
    """
    gap = Stopgap.objects.open().off_central().filter(station=OuterRef("station"))
    latest = gap.order_by("-agreed_until", "-accepted_by_client_on", "pk")
    rows: QuerySet[Any] = Spell.objects.open().filter(**IN_CARE)
    with_place = rows.select_related("station__controller__property")
    annotated: QuerySet[Any] = with_place.annotate(
        agreed_until=Subquery(latest.values("agreed_until")[:1]),
        accepted_on=Subquery(latest.values("accepted_by_client_on")[:1]),
    )
    return annotated.filter(Q(agreed_until__isnull=False) | Q(accepted_on__isnull=False))


def _long_spells(rows: Sequence[Any], told: Told) -> list[Candidate]:
    """A day that was agreed comes before the rule's number of days after the yes."""
    return [
        Candidate(
            f"station:{spell.station_id}:{spell.from_on.isoformat()}",
            spell.station.controller.property_id,
            spell.station.controller.property.time_zone,
            spell.agreed_until or spell.accepted_on + timedelta(days=told.days),
            {"station_id": spell.station_id},
        )
        for spell in rows
    ]


def _enabled_in_central() -> QuerySet[Any]:
    """Open stopgaps whose station central's schedule may still count on."""
    return (
        Stopgap.objects.open()
        .off_central()
        .filter(disabled_in_central_on=None, **IN_CARE)
        .exclude(station__controller__central=Central.NOT_MEANT)
        .select_related("station__controller__property")
    )


def _to_disable(rows: Sequence[Any], told: Told) -> list[Candidate]:
    return [
        Candidate(
            f"stopgap:{gap.pk}:{gap.counted_from.isoformat()}",
            gap.station.controller.property_id,
            gap.station.controller.property.time_zone,
            gap.counted_from + timedelta(days=told.days),
            {"station_id": gap.station_id, "stopgap_id": gap.pk},
        )
        for gap in rows
    ]


FAMILIES = [
    Family(FollowUpKind.BATTERY, _devices, _batteries),
    Family(FollowUpKind.SPELL_LONG, _spells, _long_spells, key="station_id"),
    Family(
        FollowUpKind.DISABLE_IN_CENTRAL,
        _enabled_in_central,
        _to_disable,
        late_days=LATE_DAYS,
    ),
]
