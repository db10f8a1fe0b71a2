"""The soil of a property as its people write it, and the note that it was soaked."""

from datetime import date, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.models import OPEN_JOB_STATES, Job
from faults.work.engines.soak import SOILS, Texture
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead
from sites.kernel.services.verbs import UnableToAct, verb

TEXTURE_WORDS = {
    Texture.SAND: gettext_lazy("sand"),
    Texture.LOAMY_SAND: gettext_lazy("loamy sand"),
    Texture.SANDY_LOAM: gettext_lazy("sandy loam"),
    Texture.LOAM: gettext_lazy("loam"),
    Texture.SILT_LOAM: gettext_lazy("silt loam"),
    Texture.CLAY_LOAM: gettext_lazy("clay loam"),
    Texture.CLAY: gettext_lazy("clay"),
}


class UnableToNoteSoak(UnableToAct):
    """A soak, or a rod, that cannot be so."""


def texture_of(soil: str) -> Texture | None:
    """Return the texture that a property's soil names, or None where it names none or several.

    "Silty clay loam over caliche" names clay loam: the longest known name counts.
    """
    words = f" {' '.join(soil.casefold().replace('-', ' ').split())} "
    named = [each for each in Texture if f" {each.value} " in words]
    longest = [
        each
        for each in named
        if not any(f" {each.value} " in f" {other.value} " and other != each for other in named)
    ]
    return longest[0] if len(longest) == 1 else None


def waiting_days(texture: Texture) -> int:
    """Return the days from the last soak to the work."""
    return SOILS[texture].waiting_days


@verb(
    name="note that the soil of a job was soaked",
    action=Action.WORK_JOBS,
    guard="the job is open; a day that has come; a depth of the rod from 0 up; either of them",
    undo="note it again: the old values stand in its history; both empty takes the note back",
)
def note_soak(*, job: Job, soaked_on: date | None, rod_depth_in: float | None, today: date) -> None:
    """Keep on which day the ground was soaked, and how deep a slim rod went by hand."""
    if job.state not in OPEN_JOB_STATES:
        raise UnableToNoteSoak(_("This job is over. Its soil needs no note."))
    refuse_ahead(soaked_on, today, field="soaked_on")
    if rod_depth_in is not None and rod_depth_in < 0:
        raise UnableToNoteSoak(_("How deep did the rod go? 0 or more."), field="rod_depth_in")
    is_nothing = soaked_on is None and rod_depth_in is None
    if is_nothing and job.soaked_on is None and job.rod_depth_in is None:
        raise UnableToNoteSoak(_("Enter the day, or how deep a rod went."), field="soaked_on")
    job.soaked_on, job.rod_depth_in = soaked_on, rod_depth_in
    job.save()


def soaked_ready_on(soaked_on: date, texture: Texture) -> date:
    """Return the first day to work on ground that was soaked on a day."""
    return soaked_on + timedelta(days=waiting_days(texture))
