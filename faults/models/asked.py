"""What the client was asked, and the answer; every one is kept."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from faults.models.fault import Fault
from sites.models.base import History


class ClientAnswer(models.TextChoices):
    """What the client said."""

    YES = "yes", _("yes")
    NO = "no", _("no")


class Asked(models.Model):
    """One question to the client about a fault: may we dig, for how much?"""

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="asked")
    asked_on = models.DateField(_("asked on"))
    asked_of = models.CharField(_("who was asked"), max_length=120)
    what = models.CharField(_("what was asked"), max_length=300)
    up_to_hours = models.DecimalField(
        _("up to hours"), max_digits=6, decimal_places=2, null=True, blank=True
    )
    up_to_amount = models.DecimalField(
        _("up to money"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    answer = models.CharField(_("answer"), max_length=4, choices=ClientAnswer, blank=True)
    answered_on = models.DateField(_("answered on"), null=True, blank=True)
    notes = models.CharField(_("notes"), max_length=300, blank=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="asked_answer_has_its_day",
                condition=Q(answer="", answered_on__isnull=True)
                | (~Q(answer="") & Q(answered_on__isnull=False)),
            ),
            models.CheckConstraint(
                name="asked_answered_after_asking",
                condition=Q(answered_on__isnull=True) | Q(answered_on__gte=F("asked_on")),
            ),
            models.UniqueConstraint(
                fields=["fault"], name="asked_one_open_question_per_fault", condition=Q(answer="")
            ),
        ]
