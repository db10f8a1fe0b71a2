"""When people work: the weekdays of a crew and of a person, and days on which one is not there."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from faults.models.crew import Crew
from sites.models.base import History, ends_after_start


class WorkDay(models.Model):
    """One weekday on which a crew, or a person, works; without hours or break, those of the crew.

    Whose week has no row at all said nothing: a crew works on every day, a person with the crew.
    """

    crew = models.ForeignKey(
        Crew, on_delete=models.CASCADE, null=True, blank=True, related_name="work_days"
    )
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="+",
    )
    # As in Python: 0 = Monday.
    weekday = models.PositiveSmallIntegerField(_("weekday"))
    starts_at = models.TimeField(_("starts at"), null=True, blank=True)
    ends_at = models.TimeField(_("ends at"), null=True, blank=True)
    break_from = models.TimeField(_("break from"), null=True, blank=True)
    break_to = models.TimeField(_("break until"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="work_day_of_a_crew_or_a_person",
                condition=Q(crew__isnull=True, user__isnull=False)
                | Q(crew__isnull=False, user__isnull=True),
            ),
            models.CheckConstraint(
                name="work_day_is_a_weekday", condition=Q(weekday__range=(0, 6))
            ),
            models.CheckConstraint(
                name="work_day_has_both_hours_or_none",
                condition=Q(starts_at__isnull=True, ends_at__isnull=True)
                | Q(
                    starts_at__isnull=False,
                    ends_at__isnull=False,
                    ends_at__gt=F("starts_at"),
                ),
            ),
            models.CheckConstraint(
                name="work_day_break_has_both_ends_or_none",
                condition=Q(break_from__isnull=True, break_to__isnull=True)
                | Q(
                    break_from__isnull=False,
                    break_to__isnull=False,
                    break_to__gt=F("break_from"),
                ),
            ),
            models.UniqueConstraint(
                fields=["crew", "weekday"],
                name="work_day_once_per_crew",
                condition=Q(crew__isnull=False),
            ),
            models.UniqueConstraint(
                fields=["user", "weekday"],
                name="work_day_once_per_person",
                condition=Q(user__isnull=False),
            ),
        ]


class AwayFor(models.TextChoices):
    """Why a person is not there."""

    ILL = "ill", _("ill")
    HOLIDAY = "holiday", _("on holiday")
    OTHER = "other", _("away")


class PersonAway(models.Model):
    """Days over [from_on, to_on) on which a person does not work; none where it was taken back."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    from_on = models.DateField(_("from"))
    to_on = models.DateField(_("to, not included"))
    kind = models.CharField(_("why"), max_length=8, choices=AwayFor, default=AwayFor.ILL)
    why = models.CharField(_("note"), max_length=120, blank=True)
    history = History()

    class Meta:
        indexes = [models.Index(fields=["user", "from_on"], name="person_away_by_user_and_day")]
        constraints = [ends_after_start("person_away_ends_after_it_starts")]
