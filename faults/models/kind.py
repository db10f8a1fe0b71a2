"""Kinds of job: what a visit is for, and what the office says that it needs."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from faults.cases.engines.stages import Stage
from faults.models.crew import HIGHEST_SKILL, LOWEST_SKILL, SKILL_CHOICES
from faults.models.fault import Fault, Symptom
from faults.work.engines.kinds import USUAL, KindFacts
from sites.models.base import History


class JobKind(models.TextChoices):
    """What a visit is for."""

    LOCATE = "locate", _("locate")
    DIG = "dig and mend", _("dig and mend")
    RETURN = "return to central", _("return to central")
    CHECK_UP = "wire check-up", _("wire check-up")
    BATTERIES = "battery round", _("battery round")
    WALK = "station walk", _("station walk")
    BRING_HOME = "bring-home round", _("bring-home round")
    VALVE = "valve repair", _("valve repair")
    COIL = "coil", _("new coil")
    CONTROLLER = "controller repair", _("controller repair")
    NEW_WIRE = "new wire", _("new wire")
    LEAK = "leak", _("water leak repair")
    START_UP = "start-up", _("start-up")
    SHUT_DOWN = "shut-down", _("shut-down")
    TWO_WIRE = "two-wire check", _("two-wire check")
    INSPECTION = "inspection", _("inspection")


# What the first visit to a fault is for, where it is not to locate. Common practice, no source:
# what stays on is most often a valve that does not shut.
_FIRST_KIND: dict[str, JobKind] = {Symptom.STAYS_ON.value: JobKind.VALVE}


def first_kind(symptom: str) -> JobKind:
    """Return what the first visit to a fault is proposed as."""
    return _FIRST_KIND.get(symptom, JobKind.LOCATE)


def first_kinds(symptom: str) -> frozenset[str]:
    """Return the kinds of job that count as the visit which looks for the fault."""
    return frozenset({JobKind.LOCATE.value, first_kind(symptom).value})


def looks_for_fault(kind: str, fault: Fault | None) -> bool:
    """Return whether a visit of this kind looks for a fault that nobody has found yet."""
    if kind == JobKind.LOCATE:
        return True
    is_sought = fault is not None and fault.stage in (Stage.REPORTED.value, Stage.SCHEDULED.value)
    return fault is not None and is_sought and kind in first_kinds(fault.symptom)


class KindOfJob(models.Model):
    """What the office says that jobs of one kind need; without a row `USUAL` holds."""

    kind = models.CharField(_("kind"), max_length=20, choices=JobKind, unique=True)
    minutes = models.PositiveIntegerField(_("minutes"))
    skill = models.PositiveSmallIntegerField(_("skill"), choices=SKILL_CHOICES)
    people = models.PositiveSmallIntegerField(_("people"), default=1)
    gear = models.TextField(_("gear"), blank=True)
    opens_ground = models.BooleanField(_("ground is opened"))
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="kind_of_job_takes_time_and_people", condition=Q(minutes__gt=0, people__gt=0)
            ),
            models.CheckConstraint(
                name="kind_of_job_skill_of_the_scale",
                condition=Q(skill__range=(LOWEST_SKILL, HIGHEST_SKILL)),
            ),
        ]


def kind_facts(kind: str) -> KindFacts:
    """Return what jobs of a kind need: as the office says, else as is usual."""
    row = KindOfJob.objects.filter(kind=kind).first()
    if row is None:
        return USUAL[kind]
    return KindFacts(row.minutes, row.skill, row.people, row.gear, row.opens_ground)
