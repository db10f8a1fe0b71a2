"""What is left of a visit: what the phone counts by itself, and the reasons for leaving one."""

from django.utils.translation import gettext as _

from faults.models import CLOSED_STAGES, FaultStation, Job, JobKind, WhyLeft
from faults.rounds.services.progress import Progress, Target, named
from faults.rounds.services.words import reason_words
from faults.sheet.forms.fields import Plain
from faults.work.engines.kinds import WALKS


def left_part(job: Job, come: Progress) -> Plain | None:
    """Return what is done and left as the server knows it; None where nothing can be counted."""
    if not come.total:
        return None
    keys = [named(each.thing)[1] for each in come.targets]
    faulty = FaultStation.objects.filter(station__in=keys).exclude(stage__in=CLOSED_STAGES)
    known = set(faulty.values_list("station", flat=True)) if job.kind in WALKS else set()
    return {
        "targets": [_target(each, known) for each in come.targets],
        "done_by": _done_by(job.kind),
        "whys": [[value, str(word)] for value, word in WhyLeft.choices],
        "words": _words(),
    }


def _target(target: Target, faulty: set[int]) -> Plain:
    what, key = named(target.thing)
    return {
        what: key,
        "name": str(target.thing),
        "done": target.is_done,
        "why": reason_words(target) if target.left and not target.is_done else "",
        "has_fault": what == "station" and key in faulty,
    }


def _done_by(kind: str) -> Plain:
    """Return which things of a phone do a station or timer."""
    if kind == JobKind.BATTERIES:
        return {"kind": "battery"}
    if kind == JobKind.BRING_HOME:
        return {"kind": "reading", "of": ["loop"]}
    if kind in WALKS:
        return {"kind": "walk"}
    return {"kind": "reading", "of": ["ohms", "volts"]}


def _words() -> dict[str, str]:
    return {
        "title": _("What is left"),
        "count": _("%(left)s of %(total)s left"),
        "none": _("All %s are done"),
        "next": _("Next: %s"),
        "leave": _("Leave one out, and say why"),
        "which": _("Which one?"),
        "why": _("Why is it left?"),
        "note": _("In a few words"),
        "keep": _("Leave it out"),
        "left": _("Left out: %s"),
        "told": _("Left out, and why"),
        "report": _("Report %s as a fault"),
        "reported": _("reported as a fault: %s"),
    }
