"""What each station that is off central control waits on. Derived, like spells."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from faults.models.fault import Fault
from faults.models.job import Job
from faults.waits.engines.waits import Mover, WaitsOn
from sites.models import Station

WAITS_ON_CHOICES = [
    (WaitsOn.REPORT.value, _("somebody to report the fault")),
    (WaitsOn.LINK.value, _("the controller's link")),
    (WaitsOn.CLIENTS_CHOICE.value, _("the client, who wants it so")),
    (WaitsOn.VISIT.value, _("a visit to be scheduled")),
    (WaitsOn.VISIT_DAY.value, _("the day of the visit")),
    (WaitsOn.VISIT_RESULT.value, _("the result of the visit")),
    (WaitsOn.ASK.value, _("us to ask the client")),
    (WaitsOn.AGREE.value, _("the client's yes to be entered")),
    (WaitsOn.ANSWER.value, _("the client's answer")),
    (WaitsOn.REFUSED.value, _("another way, as the client said no")),
    (WaitsOn.NOTICE.value, _("a notice to be given")),
    (WaitsOn.NOTICE_CLEAR.value, _("the utilities to mark")),
    (WaitsOn.DIG.value, _("a dig to be scheduled")),
    (WaitsOn.DIG_DAY.value, _("the day of the dig")),
    (WaitsOn.MEND_RESULT.value, _("the mend to be recorded")),
    (WaitsOn.WEATHER.value, _("the weather")),
    (WaitsOn.PARTS.value, _("parts")),
    (WaitsOn.ACCESS.value, _("access to the place")),
    (WaitsOn.PROOF.value, _("the proof with the coil running")),
    (WaitsOn.ENABLE.value, _("central's operator to enable it")),
    (WaitsOn.RETURN.value, _("the timer to come out")),
    (WaitsOn.AFTER_RETURN.value, _("the stopgap to be ended, as its fault is over")),
    (WaitsOn.GIVEN_UP.value, _("another way, as the search was given up")),
    (WaitsOn.BRING_HOME.value, _("us to bring it home, as its wire read sound")),
]

MOVER_CHOICES = [
    (Mover.OURS.value, _("ours")),
    (Mover.CLIENT.value, _("the client")),
    (Mover.CENTRAL.value, _("central's operator")),
    (Mover.UTILITIES.value, _("the utilities")),
    (Mover.WEATHER.value, _("the weather")),
]


class Wait(models.Model):
    """The one thing that holds a station off central now, since when, and whose move it is.

    Derived: `rebuild_waits` recomputes it whenever spells, faults, jobs, notices or answers
    change, and each quarter of an hour for what only the clock changes.
    """

    # Hidden from below; `wait` is for joins in the queries of the apps above the register.
    station = models.OneToOneField(
        Station, on_delete=models.CASCADE, related_name="+", related_query_name="wait"
    )
    waits_on = models.CharField(_("waits on"), max_length=20, choices=WAITS_ON_CHOICES)
    mover = models.CharField(_("whose move"), max_length=10, choices=MOVER_CHOICES)
    since = models.DateField(_("since"))
    until = models.DateField(_("until"), null=True, blank=True)
    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, null=True, related_name="+")
    job = models.ForeignKey(Job, on_delete=models.SET_NULL, null=True, related_name="+")
    # Whether its station runs from central control all the same; such a row is never kept.
    on_central = False

    class Meta:
        indexes = [
            models.Index(fields=["mover", "waits_on"], name="wait_by_mover"),
        ]
