"""What came up from phones: each thing once, with what became of it."""

import uuid
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from faults.models.job import Job


class SheetAnswer(models.TextChoices):
    """What became of one thing that a phone sent."""

    ACCEPTED = "accepted", _("kept")
    REFUSED = "refused", _("not kept")
    CONFLICT = "conflict", _("somebody else wrote something else")


class SheetItemQuerySet(models.QuerySet["SheetItem"]):
    """Reads over what phones sent."""

    def not_accepted(self) -> Self:
        """Filter to what was refused, or met what somebody else wrote."""
        return self.exclude(answer=SheetAnswer.ACCEPTED)

    def unsettled(self) -> Self:
        """Filter to what was not accepted and not reviewed since."""
        return self.not_accepted().filter(settled_at__isnull=True)


class SheetItem(models.Model):
    """One thing that was recorded on a job sheet, mostly without signal.

    Its key is made on the phone, so that the same thing sent twice is known. `at` is the phone's
    clock, `happened_at` the same moment by ours, `received_at` when it came up. `body` is as it
    was typed, without the picture of a photo: what was refused stays in view of the office.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    # Empty where the sender had no right to learn whether there is such a job.
    job = models.ForeignKey(
        Job, on_delete=models.PROTECT, null=True, blank=True, related_name="sheet_items"
    )
    kind = models.CharField(_("kind"), max_length=20)
    at = models.DateTimeField(_("on the phone's clock"))
    happened_at = models.DateTimeField(_("happened"))
    received_at = models.DateTimeField(_("received"))
    answer = models.CharField(_("what became of it"), max_length=10, choices=SheetAnswer)
    # Why it was refused, in the sender's language; and of a conflict, what stands instead.
    why = models.TextField(_("why"), blank=True)
    mine = models.CharField(max_length=200, blank=True)
    theirs = models.CharField(max_length=200, blank=True)
    # What it made, such as "break:17", for things that were sent after it and name it.
    made = models.CharField(max_length=60, blank=True)
    body = models.JSONField(default=dict, blank=True)
    settled_at = models.DateTimeField(_("looked at"), null=True, blank=True)

    objects = SheetItemQuerySet.as_manager()

    class Meta:
        verbose_name = _("thing from a job sheet")
        indexes = [
            models.Index(fields=["job", "happened_at"], name="sheet_item_by_job"),
            models.Index(fields=["answer", "received_at"], name="sheet_item_by_answer"),
        ]
        constraints = [
            models.CheckConstraint(
                name="sheet_item_refused_with_a_reason",
                condition=Q(answer=SheetAnswer.ACCEPTED) | ~Q(why=""),
            ),
            models.CheckConstraint(
                name="sheet_item_conflict_shows_both",
                condition=~Q(answer=SheetAnswer.CONFLICT) | (~Q(mine="") & ~Q(theirs="")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.id}"
