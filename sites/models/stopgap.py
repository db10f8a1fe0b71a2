"""Stopgaps: what stands in for a wire, and the days off central control that follow.

Days are half-open, [from, to), everywhere, and belong to the property's time zone.
"""

from datetime import date
from typing import Any, Self

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Coalesce, Least
from django.utils.translation import gettext_lazy as _

from sites.models.base import History, Referenced, ends_after_start
from sites.models.property import Property
from sites.models.station import Station
from sites.stopgaps.engines.spells import Reason


class StopgapKind(models.TextChoices):
    """What stands in. The last two leave the station on central control, for a time."""

    BATTERY_TIMER = "battery timer", _("battery timer")
    BY_HAND = "by hand", _("by hand")
    SHUT_OFF = "shut off", _("shut off")
    HELD_OPEN = "held open", _("held open")
    SURFACE_WIRE = "surface wire", _("surface wire")
    DOUBLED = "doubled", _("doubled")


class MainValve(models.TextChoices):
    """How the master valve or pump above a station opens while something stands in for its wire.

    Central opens it only for what central itself runs.
    """

    SAME_MINUTES = "same minutes", _("it opens in the same minutes")
    HELD_OPEN = "held open", _("it is held open")
    REMOVED = "removed", _("it was taken out or bypassed")
    SHUT = "stays shut", _("it stays shut: no water comes")


OFF_CENTRAL_KINDS = (
    StopgapKind.BATTERY_TIMER,
    StopgapKind.BY_HAND,
    StopgapKind.SHUT_OFF,
    StopgapKind.HELD_OPEN,
)

REASON_CHOICES = [
    (Reason.WIRE.value, _("wire")),
    (Reason.VALVE.value, _("valve or solenoid")),
    (Reason.CONTROLLER.value, _("controller")),
    (Reason.LINK_LOST.value, _("link lost")),
    (Reason.CLIENT.value, _("client's choice")),
    (Reason.NOT_KNOWN.value, _("not known")),
]


class BatteryFound(models.TextChoices):
    """How a battery set was when it was taken out."""

    EMPTY = "empty", _("empty")
    CHARGED = "charged", _("still charged")


class Device(Referenced):
    """A battery timer. One may run several valves: one battery set, one visit."""

    property = models.ForeignKey(Property, on_delete=models.PROTECT, related_name="devices")
    name = models.CharField(_("device"), max_length=60)
    battery_kind = models.CharField(_("battery kind"), max_length=40, blank=True)
    battery_changed_on = models.DateField(_("battery changed"), null=True, blank=True)
    # Of the set that came out at the last change; empty = nobody said.
    battery_found = models.CharField(
        _("old set was"), max_length=8, choices=BatteryFound, blank=True
    )
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["property", "name"], name="device_named_once_per_property"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class StopgapQuerySet(models.QuerySet["Stopgap"]):
    """Reads over stopgaps."""

    def open(self) -> Self:
        """Keep those that have not been removed."""
        return self.filter(removed_on__isnull=True)

    def standing_on(self, day: date) -> Self:
        """Keep those that stood on `day`: not yet before `counted_from`, no more when removed."""
        return self.filter(Q(removed_on=None) | Q(removed_on__gt=day), counted_from__lte=day)

    def off_central(self) -> Self:
        """Keep the kinds that take a station off central control."""
        return self.filter(kind__in=OFF_CENTRAL_KINDS)


class Stopgap(Referenced):
    """One thing that stands in for one station's wire over [counted_from, removed_on).

    Often only a year or a month is known: `fitted_earliest` and `fitted_latest` hold the window
    of days, `first_seen_on` the first day on which it was written down. `counted_from` is the
    last day that the fitting can have been, so that every age is "at least".
    """

    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, related_name="stopgaps", verbose_name=_("station")
    )
    kind = models.CharField(_("kind"), max_length=16, choices=StopgapKind)
    fitted_earliest = models.DateField(_("fitted, earliest"), null=True, blank=True)
    fitted_latest = models.DateField(_("fitted, latest"), null=True, blank=True)
    first_seen_on = models.DateField(_("first seen"), null=True, blank=True)
    counted_from = models.DateField(_("counted from"), editable=False)
    removed_on = models.DateField(_("removed"), null=True, blank=True)
    device = models.ForeignKey(
        Device,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="stopgaps",
        verbose_name=_("device"),
    )
    reason = models.CharField(
        _("reason"), max_length=20, choices=REASON_CHOICES, default=Reason.NOT_KNOWN.value
    )
    reason_given = models.CharField(_("reason as written"), max_length=200, blank=True)
    disabled_in_central_on = models.DateField(_("disabled in central on"), null=True, blank=True)
    accepted_by_client_on = models.DateField(_("accepted by the client on"), null=True, blank=True)
    agreed_until = models.DateField(_("agreed until"), null=True, blank=True)
    main_valve = models.CharField(
        _("master valve or pump then"), max_length=16, choices=MainValve, blank=True
    )
    end_reason = models.CharField(_("why it ended"), max_length=200, blank=True)
    source_key = models.CharField(_("source key"), max_length=60, blank=True)
    notes = models.TextField(_("notes"), blank=True)
    history = History()

    objects = StopgapQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["station", "counted_from"], name="stopgap_by_station_and_day"),
        ]
        constraints = [
            ends_after_start(
                "stopgap_fitted_window_in_order", start="fitted_earliest", end="fitted_latest"
            ),
            ends_after_start(
                "stopgap_removed_after_fitted", start="fitted_earliest", end="removed_on"
            ),
            ends_after_start(
                "stopgap_removed_after_first_seen", start="first_seen_on", end="removed_on"
            ),
            models.CheckConstraint(
                name="stopgap_fitted_window_has_both_ends",
                condition=Q(fitted_earliest__isnull=True, fitted_latest__isnull=True)
                | Q(fitted_earliest__isnull=False, fitted_latest__isnull=False),
            ),
            models.CheckConstraint(
                name="stopgap_has_a_first_day",
                condition=Q(fitted_latest__isnull=False) | Q(first_seen_on__isnull=False),
            ),
            models.CheckConstraint(
                name="stopgap_counted_from_follows_its_days",
                condition=Q(
                    counted_from=Least(
                        Coalesce("fitted_latest", "first_seen_on"),
                        Coalesce("first_seen_on", "fitted_latest"),
                        Coalesce("removed_on", "fitted_latest", "first_seen_on"),
                    )
                ),
            ),
            models.UniqueConstraint(
                fields=["source_key", "station"],
                name="stopgap_source_key_once_per_station",
                condition=~Q(source_key=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Derive `counted_from` from the other days before saving."""
        self.counted_from = counted_from(self.fitted_latest, self.first_seen_on, self.removed_on)
        super().save(*args, **kwargs)

    @property
    def fitted_is_exact(self) -> bool:
        """Whether the very day of fitting is known."""
        return self.fitted_earliest is not None and self.fitted_earliest == self.counted_from


def counted_from(
    fitted_latest: date | None, first_seen_on: date | None, removed_on: date | None
) -> date:
    """Return the last day that a fitting can have been: ages from it are "at least".

    Raises:
        ValueError: neither a day of fitting nor a day first seen is known.
    """
    known = [day for day in (fitted_latest, first_seen_on) if day is not None]
    if not known:
        raise ValueError("Expected a day of fitting or a day first seen, got neither")
    return min([*known, removed_on] if removed_on is not None else known)


class SpellQuerySet(models.QuerySet[Any]):
    """Reads over spells and their parts, both half-open in days."""

    def on(self, day: date) -> Self:
        """Keep those that hold on `day`."""
        return self.filter(Q(to_on__isnull=True) | Q(to_on__gt=day), from_on__lte=day)

    def open(self) -> Self:
        """Keep those that have not ended."""
        return self.filter(to_on__isnull=True)


class Spell(models.Model):
    """An unbroken time of one station off central control, whatever stopgaps follow.

    Derived: rebuilt from stopgaps and central states whenever those change.
    """

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="spells")
    from_on = models.DateField(_("off since"))
    to_on = models.DateField(_("back on"), null=True, blank=True)
    from_is_exact = models.BooleanField(default=True)

    objects = SpellQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["station", "from_on"], name="spell_by_station_and_day"),
            # The longest first, without sorting all that is open.
            models.Index(
                fields=["from_on"], name="spell_open_by_first_day", condition=Q(to_on__isnull=True)
            ),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["station"],
                name="spell_one_open_per_station",
                condition=Q(to_on__isnull=True),
            ),
            models.CheckConstraint(
                name="spell_lasts_a_day",
                condition=Q(to_on__isnull=True) | Q(to_on__gt=F("from_on")),
            ),
        ]


class SpellPart(models.Model):
    """Days of a spell with one reason: no day of a station lies in two parts."""

    spell = models.ForeignKey(Spell, on_delete=models.CASCADE, related_name="parts")
    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="spell_parts")
    from_on = models.DateField(_("from"))
    to_on = models.DateField(_("to"), null=True, blank=True)
    reason = models.CharField(_("reason"), max_length=20, choices=REASON_CHOICES)
    stopgap = models.ForeignKey(
        Stopgap, on_delete=models.CASCADE, null=True, blank=True, related_name="spell_parts"
    )

    objects = SpellQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["from_on", "reason"], name="spell_part_by_first_day"),
            models.Index(fields=["to_on", "reason"], name="spell_part_by_last_day"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["station"],
                name="spell_part_one_open_per_station",
                condition=Q(to_on__isnull=True),
            ),
            models.CheckConstraint(
                name="spell_part_lasts_a_day",
                condition=Q(to_on__isnull=True) | Q(to_on__gt=F("from_on")),
            ),
        ]
