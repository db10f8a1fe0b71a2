"""Who allowed a search or a dig, and how a mended wire was proven."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from faults.models.fault import Fault, FaultStation
from faults.models.reading import Reading
from sites.models import StandingAuthority
from sites.models.base import History


class Authority(models.Model):
    """The yes for some stations of a fault: who gave it, on which day, up to which limit.

    `standing` names what the client allows without being asked, where that covered it.
    """

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="authorities")
    stations = models.ManyToManyField(FaultStation, related_name="authorities")
    given_by = models.CharField(_("who said yes"), max_length=120)
    given_on = models.DateField(_("on which day"))
    up_to_hours = models.DecimalField(
        _("up to hours"), max_digits=6, decimal_places=2, null=True, blank=True
    )
    up_to_amount = models.DecimalField(
        _("up to money"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    standing = models.ForeignKey(
        StandingAuthority, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="authority_limits_above_0",
                condition=(Q(up_to_hours__isnull=True) | Q(up_to_hours__gt=0))
                & (Q(up_to_amount__isnull=True) | Q(up_to_amount__gt=0)),
            ),
            models.CheckConstraint(name="authority_names_who_gave_it", condition=~Q(given_by="")),
        ]


class Proof(models.Model):
    """What was measured and seen before a station counted as proven."""

    fault_station = models.ForeignKey(FaultStation, on_delete=models.CASCADE, related_name="proofs")
    on = models.DateField(_("on"))
    # Volts with the coil running: a cut strand can read right until current flows. Ohms never:
    # with the output off and the wire off its terminal.
    volts = models.ForeignKey(
        Reading, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    # A two-wire path has no ohms of one station: there volts or current at the decoder stand.
    ohms = models.ForeignKey(
        Reading, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    current_ma = models.FloatField(_("current at the decoder, mA"), null=True, blank=True)
    insulation = models.ForeignKey(
        Reading, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    minutes_from_central = models.PositiveSmallIntegerField(
        _("minutes run from central"), null=True, blank=True
    )
    # Where central does not reach the controller.
    minutes_at_clock = models.PositiveSmallIntegerField(
        _("minutes run at the clock"), null=True, blank=True
    )
    proven_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="proof_ran_some_minutes",
                # A comparison with nothing refuses nothing: "not empty" has to be said.
                condition=Q(
                    minutes_from_central__isnull=False,
                    minutes_from_central__gte=1,
                    minutes_at_clock__isnull=True,
                )
                | Q(
                    minutes_from_central__isnull=True,
                    minutes_at_clock__isnull=False,
                    minutes_at_clock__gte=1,
                ),
            ),
            models.CheckConstraint(
                name="proof_has_volts_or_current",
                condition=Q(volts__isnull=False) | Q(current_ma__isnull=False),
            ),
            models.CheckConstraint(
                name="proof_current_not_negative",
                condition=Q(current_ma__isnull=True) | Q(current_ma__gte=0),
            ),
        ]
