"""Photos of faults and breaks, and who is assigned to a fault."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from faults.models.breaks import Break
from faults.models.fault import Fault
from sites.models import Picture
from sites.models.base import History


class Shows(models.TextChoices):
    """When in the work a photo of a break was taken."""

    BEFORE = "before", _("before the mend")
    AFTER = "after", _("after the mend")
    PLACE = "place", _("the place")


class FaultPhoto(Picture):
    """A photo of a fault, or of one of its breaks."""

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="photos")
    of_break = models.ForeignKey(
        Break, on_delete=models.CASCADE, null=True, blank=True, related_name="photos"
    )
    shows = models.CharField(_("shows"), max_length=8, choices=Shows, blank=True)
    history = History()


class Assignment(models.Model):
    """Who is to trace a fault over [from_on, to_on). A subcontracted tracer sees only these."""

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="assignments")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    from_on = models.DateField(_("from"))
    to_on = models.DateField(_("to"), null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["fault", "user"],
                name="assignment_open_once_per_user",
                condition=Q(to_on__isnull=True),
            ),
            models.CheckConstraint(
                name="assignment_ends_after_it_starts",
                condition=Q(to_on__isnull=True) | Q(to_on__gte=models.F("from_on")),
            ),
        ]
