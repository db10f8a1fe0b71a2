"""What a row of the sheet of faults says beside its stages: the other station, and its days."""

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
