"""Advice on heat, for jobs on hot days only, in the units of the property."""

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from faults.models import Job
from faults.work.engines.heat import CUP_OZ, FULL_SUN_ADDS_F, MOST_OZ_PER_HOUR, is_hot_work
from faults.work.engines.safety import Situation
from sites.models import Units
from sites.wires.services.warmth import ground_year

ML_PER_OZ = 29.5735
_ROUNDED_TO_ML = 50


@dataclass(frozen=True)
class Heat:
    """What to drink and what sun adds, as people of the place measure."""

    cup: str
    most: str
    sun: str


def heat_of(job: Job, today: date) -> Heat | None:
    """Return the advice for a job, or None on a day that is not hot.

    It is hot where the crew ticked heat, or where the ground's surface is usually so warm on that
    day; where neither place nor ground is known only the tick tells.
    """
    if Situation.HEAT.value not in job.situations and not _is_hot(job, job.day or today):
        return None
    if job.property.units == Units.METRIC:
        return Heat(
            _("%s ml") % _rounded(CUP_OZ),
            _("%s l") % f"{_rounded(MOST_OZ_PER_HOUR) / 1000:.1f}",
            f"{FULL_SUN_ADDS_F / 1.8:.0f} °C",
        )
    cups = MOST_OZ_PER_HOUR // CUP_OZ
    return Heat(
        _("a cup (%s oz)") % CUP_OZ,
        _("%(cups)s cups (%(oz)s oz)") % {"cups": cups, "oz": MOST_OZ_PER_HOUR},
        f"{FULL_SUN_ADDS_F:.0f} °F",
    )


def _is_hot(job: Job, day: date) -> bool:
    year = ground_year(job.property)
    return is_hot_work(None if year is None else year.at(0.0, day) * 1.8 + 32)


def _rounded(ounces: float) -> int:
    return round(ounces * ML_PER_OZ / _ROUNDED_TO_ML) * _ROUNDED_TO_ML
