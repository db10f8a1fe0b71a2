"""Make a property with all that reports tell of, drafts and issued reports."""

import hashlib
from datetime import UTC, date, datetime, timedelta
from typing import Any

from django.utils import timezone

from faults.models import Cause, Fault, Proof, ReadingKind, Shows
from reports.issued.services.asking import Asked
from reports.issued.services.drafting import WRITE, write_draft
from reports.issued.services.issuing import issue
from reports.models import Audience, Draft, Report, ReportFile, ReportKind, ReportSeries, Rhythm
from sites.kernel.services.verbs import as_one_change
from sites.models import Property, Run, Station, User, today_at
from sites.runs.services import Silent
from tests import make, make_water
from tests.cast import Corner

# After all that is made here.
AT = datetime(2025, 11, 3, 18, 0, tzinfo=UTC)
JPEG_SHA256 = hashlib.sha256(b"\xff\xd8").hexdigest()
FIRST, LAST = date(2025, 8, 1), date(2025, 10, 31)


@as_one_change()
def court(**given: Any) -> Property:
    """A property with three stations off central, a mended fault with photos, water and waits.

    One station has been off since July and stays so; its water is known. One was off when the
    period began and came back in it. One went off in it, of unknown water.
    """
    place = make.place(**{"code": "COURT", "name": "Fern Court", **given})
    make_water.climate(f"Valley {place.pk}")
    place.climate_table = f"Valley {place.pk}"
    place.save()
    make_water.tariff(place)
    clock = make.controller(property=place, name="A")
    lawn = make.station(controller=clock, number=1, name="Lawn by the gate")
    make_water.facts(lawn)
    make_water.schedule(lawn)
    make.stopgap(station=lawn, on=date(2025, 7, 18))
    back = make.station(controller=clock, number=2, name="Rear bed")
    make.stopgap(station=back, on=date(2025, 6, 2), removed_on=date(2025, 9, 15))
    new = make.station(controller=clock, number=3, name="Slope")
    make.stopgap(station=new, on=date(2025, 10, 4), reason="valve or solenoid")
    mended(place, back)
    return place


def mended(place: Property, station: Station) -> Fault:
    """A fault with a break, photos before and after, and a proof."""
    fault = make.fault(station, reported_on=date(2025, 6, 2), key=f"F-{place.pk}")
    leg = make.leg(property=place)
    found = make.break_found(
        fault=fault,
        leg=leg,
        feet_along=12.0,
        found_on=date(2025, 8, 20),
        depth_in=14.0,
        cause=Cause.RODENT,
        mended_on=date(2025, 9, 1),
        how_mended="gel splices",
    )
    for shows, day in ((Shows.BEFORE, date(2025, 8, 20)), (Shows.AFTER, date(2025, 9, 1))):
        make.fault_photo(fault=fault, of_break=found, shows=shows, prepared={"taken_on": day})
    proved(fault.stations.get())
    return fault


def proved(row: Any) -> Proof:
    """A proof in volts and ohms."""
    volts = make.reading(station=row.station, kind=ReadingKind.VOLTS, value=23.6)
    ohms = make.reading(station=row.station, value=31.25)
    return Proof.objects.create(
        fault_station=row, on=date(2025, 9, 2), volts=volts, ohms=ohms, minutes_from_central=5
    )


def asked(place: Property | None, **given: Any) -> Asked:
    """Ask for the report of three months on a property, for its client."""
    defaults = {
        "kind": ReportKind.PROPERTY.value,
        "from_on": FIRST,
        "until_on": LAST,
        "language": "en",
        "units": "US",
        "paper": "letter",
        "place": place,
    }
    return Asked(**{**defaults, **given})


def draft(place: Property | None, by: User, **given: Any) -> Draft:
    """Put that report together."""
    again_of = given.pop("again_of", None)
    return write_draft(asked=asked(place, **given), by=by, desk=by, at=AT, again_of=again_of)


def issued(place: Property | None, by: User, **given: Any) -> Report:
    """Issue that report, an hour later."""
    made = draft(place, by, **given)
    at = given.pop("at", AT + timedelta(hours=1))
    return issue(draft=made, by=by, at=at, progress=Silent())


def series(place: Property, desk: User, **given: Any) -> ReportSeries:
    """A series of one property, each month from August on."""
    defaults = {
        "kind": ReportKind.PROPERTY,
        "property": place,
        "language": "en",
        "units": "US",
        "paper": "letter",
        "audience": Audience.CLIENT,
        "rhythm": Rhythm.MONTHLY,
        "desk": desk,
        "next_from_on": date(2025, 8, 1),
    }
    return ReportSeries.objects.create(**{**defaults, **given})


def samples(corner: Corner, starter: User) -> dict[tuple[str, str], str]:
    """Return a value for each variable part of the addresses about reports."""
    place, at = corner.property, timezone.now()
    day = today_at(place, at)
    period = asked(place, from_on=day - timedelta(days=90), until_on=day)
    kept = write_draft(asked=period, by=starter, desk=starter, at=at)
    made = write_draft(asked=period, by=starter, desk=starter, at=at)
    report = issue(draft=made, by=starter, at=at, progress=Silent())
    picture = corner.fault.photos.order_by("pk")[0].ref
    ReportFile.objects.create(
        report=report, name=f"{picture}.jpg", content=b"\xff\xd8", size=2, sha256=JPEG_SHA256
    )
    run = Run.objects.create(
        service=WRITE,
        title=f"{place.code} run",
        asked_by=starter,
        asked_at=at,
    )
    return {
        ("reports", "ref"): report.ref,
        ("drafts", "ref"): kept.ref,
        ("made", "ref"): run.ref,
        ("series", "ref"): series(place, starter).ref,
        ("<ref:ref>", "kind"): "pdf",
        ("pictures", "picture"): picture,
    }
