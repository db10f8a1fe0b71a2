"""Who can be sent: crews, their people and their skill."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from sites.models.base import DatedQuerySet, History, Referenced, ends_after_start

LOWEST_SKILL, HIGHEST_SKILL = 1, 3
SKILL_CHOICES = [
    (1, _("1: mends what is found")),
    (2, _("2: traces ordinary opens and shorts")),
    (3, _("3: traces leaks, rings and faults that come and go")),
]


class Crew(Referenced):
    """One or two people and a vehicle, with the hours that they work and where they start."""

    name = models.CharField(_("crew"), max_length=60, unique=True)
    vehicle = models.CharField(_("vehicle"), max_length=60, blank=True)
    starts_at = models.TimeField(_("starts at"))
    ends_at = models.TimeField(_("back by"))
    break_from = models.TimeField(_("break from"), null=True, blank=True)
    break_to = models.TimeField(_("break until"), null=True, blank=True)
    # Beside the first one, which weekdays and people may have at another time.
    second_break_from = models.TimeField(_("second break from"), null=True, blank=True)
    second_break_to = models.TimeField(_("second break until"), null=True, blank=True)
    # How long it may be back after its hours, and what that costs; none of it = no overtime.
    overtime_minutes = models.PositiveSmallIntegerField(
        _("overtime, at most, minutes"), null=True, blank=True
    )
    hour_costs = models.DecimalField(
        _("an ordinary hour of it costs"), max_digits=8, decimal_places=2, null=True, blank=True
    )
    overtime_hour_costs = models.DecimalField(
        _("an hour of overtime costs"), max_digits=8, decimal_places=2, null=True, blank=True
    )
    costs_currency = models.CharField(_("currency"), max_length=3, blank=True)
    # The set whose closed days are holidays of this crew; its weekend counts for centres only.
    holidays = models.ForeignKey(
        "faults.ClosedDays",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("holidays"),
    )
    yard_latitude = models.FloatField(_("yard, latitude"), null=True, blank=True)
    yard_longitude = models.FloatField(_("yard, longitude"), null=True, blank=True)
    retired_on = models.DateField(_("retired on"), null=True, blank=True)
    history = History()
    # What an hour of a crew costs is seen by those who set crews up (`may_see_crew_costs`).
    for_few: ClassVar[tuple[str, ...]] = ("hour_costs", "overtime_hour_costs", "costs_currency")

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="crew_ends_after_it_starts", condition=Q(ends_at__gt=F("starts_at"))
            ),
            models.CheckConstraint(
                name="crew_break_has_both_ends_or_none",
                condition=Q(break_from__isnull=True, break_to__isnull=True)
                | Q(
                    break_from__isnull=False,
                    break_to__isnull=False,
                    break_to__gt=F("break_from"),
                ),
            ),
            models.CheckConstraint(
                name="crew_second_break_has_both_ends_or_none",
                condition=Q(second_break_from__isnull=True, second_break_to__isnull=True)
                | Q(
                    second_break_from__isnull=False,
                    second_break_to__isnull=False,
                    second_break_to__gt=F("second_break_from"),
                ),
            ),
            models.CheckConstraint(
                name="crew_overtime_with_what_it_costs_or_none",
                condition=Q(
                    overtime_minutes__isnull=True,
                    hour_costs__isnull=True,
                    overtime_hour_costs__isnull=True,
                    costs_currency="",
                )
                | Q(
                    overtime_minutes__isnull=False,
                    overtime_minutes__gt=0,
                    hour_costs__isnull=False,
                    hour_costs__gt=0,
                    overtime_hour_costs__isnull=False,
                    overtime_hour_costs__gte=0,
                )
                & ~Q(costs_currency=""),
            ),
            models.CheckConstraint(
                name="crew_yard_has_both_coordinates",
                condition=Q(yard_latitude__isnull=True, yard_longitude__isnull=True)
                # A range alone is neither true nor false of an empty value, and would let it pass.
                | Q(
                    yard_latitude__isnull=False,
                    yard_longitude__isnull=False,
                    yard_latitude__range=(-90, 90),
                    yard_longitude__range=(-180, 180),
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class CrewMember(models.Model):
    """One person in a crew over [from_on, to_on), with the skill that the person holds."""

    crew = models.ForeignKey(Crew, on_delete=models.CASCADE, related_name="members")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    skill = models.PositiveSmallIntegerField(_("skill"), choices=SKILL_CHOICES, default=1)
    from_on = models.DateField(_("from"))
    to_on = models.DateField(_("to"), null=True, blank=True)
    history = History()

    objects = DatedQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="crew_member_skill_of_the_scale",
                condition=Q(skill__range=(LOWEST_SKILL, HIGHEST_SKILL)),
            ),
            ends_after_start("crew_member_ends_after_joining"),
            models.UniqueConstraint(
                fields=["user"],
                name="crew_member_in_one_crew_at_a_time",
                condition=Q(to_on__isnull=True),
            ),
        ]


class CrewAway(models.Model):
    """Days over [from_on, to_on) on which a crew does not work."""

    crew = models.ForeignKey(Crew, on_delete=models.CASCADE, related_name="away")
    from_on = models.DateField(_("from"))
    to_on = models.DateField(_("to, not included"))
    why = models.CharField(_("why"), max_length=120, blank=True)
    history = History()

    class Meta:
        constraints = [ends_after_start("crew_away_ends_after_it_starts")]
