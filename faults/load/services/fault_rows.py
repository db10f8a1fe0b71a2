"""What a row of the sheet of faults says beside its stages: the other station, and its days."""

from datetime import time

from django.utils.translation import gettext as _

from faults.cases.engines.stages import CLOSED, Stage
from faults.models import Fault, Symptom
from sites.load.services.load import Load
from sites.load.services.rows import Row
from sites.load.services.work import is_saved
from sites.models import Property


def plan_other(load: Load, row: Row, place: Property | None, fault: Fault, what: str) -> None:
    """The station that comes on with it; with another symptom there is none."""
    text = row.get("runs with")
    other = load.station_named(place, text) if place and text else None
    if text and other is None:
        row.problem(
            "runs with",
            _("%(place)s has no station %(names)s. Write controller:number, several with ;.")
            % {"place": place.code if place else "", "names": f"'{text}'"},
        )
        return
    if fault.symptom != Symptom.RUNS_WITH:
        if text:
            row.problem(
                "runs with",
                _(
                    "Only what runs with another has another. Choose that symptom, or leave this "
                    "empty."
                ),
            )
            return
        if fault.runs_with_id is None:
            return
    elif other is None or other == fault.runs_with:
        return
    if is_saved(fault):
        row.change(what, "runs with", str(fault.runs_with or ""), str(other or ""))
    load.work.change(fault, "runs_with", other)


def clock_cell(at: time | None) -> str:
    """Return a time of day as the file writes it."""
    return f"{at:%H:%M}" if at else ""


def plan_hours(load: Load, row: Row, fault: Fault, what: str) -> None:
    """The times between which somebody was promised to come."""
    for name, attribute in (
        ("promised from", "promised_from"),
        ("promised until", "promised_until"),
    ):
        text = row.get(name)
        if not text:
            continue
        try:
            at = time.fromisoformat(text.zfill(5))
        except ValueError:
            row.problem(name, _("Write a time of day as 13:30."))
            continue
        if is_saved(fault) and getattr(fault, attribute) != at:
            row.change(what, name, clock_cell(getattr(fault, attribute)), clock_cell(at))
        load.work.change(fault, attribute, at)
    since, until = fault.promised_from, fault.promised_until
    if since is None and until is None:
        return
    if fault.promised_on is None or since is None or until is None or until <= since:
        row.problem(
            "promised until",
            _("Promised times need a day, a beginning and a later end. Correct them."),
        )


def check_days(row: Row, fault: Fault) -> None:
    """Refuse days that cannot follow each other."""
    if fault.promised_on is not None and fault.promised_on < fault.reported_on:
        row.problem(
            "promised by",
            _("Nothing was promised for a day before the report. Correct one of the days."),
        )
    if fault.closed_on is None:
        return
    if fault.closed_on < fault.reported_on:
        row.problem("closed", _("This was closed before it was reported. Correct either day."))
    if Stage(fault.stage) not in CLOSED:
        row.problem(
            "closed" if row.has("closed") else "stage",
            _("Only a fault that is returned, given up or withdrawn is closed: correct the stage."),
        )
