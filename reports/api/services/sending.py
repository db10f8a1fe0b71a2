"""What programs write, by the verbs of the pages."""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime

from django.utils.translation import gettext as _

from faults.cases.services.report import Report, report_fault
from faults.models import Notice, Reading
from faults.notices.services.tickets import OperatorLine, enter_answers
from reports.api.services.once import Outcome
from sites.kernel.services.dated import lasting
from sites.kernel.services.verbs import UnableToAct
from sites.load.services.files import RegisterFile
from sites.models import CentralList, Property, Schedule, Station, User
from sites.reconcile.services.differences import compare
from sites.reconcile.services.lists import take_list
from sites.register.services.facts import change_schedule
from sites.water.engines.reference_et import Place
from sites.water.services.weather import work_out_weather


class UnableToSend(UnableToAct):
    """What was sent fits nothing that the user has."""


def of_one_property(stations: Sequence[Station]) -> Property:
    """Return the property of all these stations.

    Raises:
        UnableToSend: they lie on several.
    """
    places = {station.controller.property_id: station.controller.property for station in stations}
    if len(places) != 1:
        raise UnableToSend(
            _("These stations lie on several properties. Report a fault for each."),
            field="stations",
        )
    return next(iter(places.values()))


def send_report(
    stations: Sequence[Station], report: Report, *, by: User, at: datetime, today: date
) -> Outcome:
    """Report a fault on these stations."""
    place = of_one_property(stations)
    fault = report_fault(place=place, stations=stations, report=report, by=by, at=at, today=today)
    return Outcome(fault.ref)


def outcome_of_reading(reading: Reading) -> Outcome:
    """Return what is said of a reading; it has no reference of its own but its number."""
    return Outcome(str(reading.pk))


def send_list(
    name: str,
    rows: Sequence[Mapping[str, object]],
    *,
    place: Property | None,
    by: User,
    at: datetime,
    today: date,
) -> Outcome:
    """Take in central's list and compare it: only differences are counted.

    Args:
        rows: property_code, controller, station_number and enabled of each station.
    """
    content = _csv(
        ("property code", "controller", "station number", "enabled"),
        [
            (
                row["property_code"] or "",
                row["controller"],
                row["station_number"],
                {True: "yes", False: "no", None: ""}[row["enabled"]],  # type: ignore[index]
            )
            for row in rows
        ],
    )
    file = RegisterFile(f"{name}.csv", content)
    central = take_list(files=[file], place=place, by=by, at=at, today=today)
    return Outcome(str(central.pk), counts_of(central, by))


def counts_of(central: CentralList, user: User) -> dict[str, int]:
    """Return how many stations a list names, and how many differences nobody has decided on."""
    compared = compare(central, user)
    return {"listed": compared.listed, "differences": len(compared.open)}


def send_answers(notice: Notice, lines: Sequence[OperatorLine], *, today: date) -> Outcome:
    """Enter what operators answered; one that the ticket names already is answered there."""
    known = {row.operator.casefold(): row.pk for row in notice.operators.order_by("pk")}
    named = [
        replace(line, row=known.get(" ".join(line.operator.split()).casefold())) for line in lines
    ]
    changed = enter_answers(notice=notice, lines=named, today=today)
    return Outcome(notice.ref, {"changed": changed})


def send_schedule(station: Station, values: Mapping[str, object], *, from_on: date) -> Outcome:
    """Let a schedule hold from a day on, after the one that the same hand runs now, if any."""
    standing = [row for row in lasting(station.schedules) if row.to_on is None]
    same = [row for row in standing if row.run_by == values["run_by"]]
    if len(same) > 1:
        raise UnableToSend(
            _("This station has %d such schedules at once. Change them on its page.") % len(same),
            field="run_by",
        )
    schedule: Schedule | None = same[0] if same else None
    change_schedule(station=station, schedule=schedule, values=values, on=from_on)
    return Outcome(station.ref)


def send_weather(
    table: str, source: str, days: Sequence[Mapping[str, object]], *, place: Place
) -> Outcome:
    """Work out a climate table's days; a day that cannot be used is left out and counted."""
    names = ("date", "tmin", "tmax", "rhmax", "rhmin", "tdew", "rs", "wind", "rain")
    content = _csv(names, [["" if day[n] is None else day[n] for n in names] for day in days])
    done = work_out_weather(name=table, source=source, content=content, place=place)
    return Outcome(
        table.strip(),
        {
            "full": done.full,
            "estimated": done.estimated,
            "missing": done.missing,
            "left_out": len(done.left_out),
        },
    )


def _csv(names: Sequence[str], rows: Sequence[Sequence[object]]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(names)
    writer.writerows(rows)
    return text.getvalue().encode()
