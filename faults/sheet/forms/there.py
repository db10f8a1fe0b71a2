"""The step "what is there": whom to call, how to get in, where controller and boxes are.

All of it stands in the register already; a van without signal has nothing but its sheet.
"""

from collections.abc import Iterable, Sequence
from datetime import date

from django.db.models import Q
from django.urls import reverse
from django.utils import formats
from django.utils.dates import WEEKDAYS
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from faults.models import Break, Fault, Job, Notice, Reading, ReadingKind
from faults.readings.services.judging import expectations
from faults.sheet.forms.fields import Plain, step
from faults.sheet.queries import boxes_on, photos_of_boxes, photos_of_visits
from sites.ground.services.finding import Found, find_points
from sites.ground.services.keeping import length_in_words
from sites.kernel.access import may
from sites.kernel.engines.roles import Action
from sites.models import (
    Blackout,
    Contact,
    Controller,
    Leg,
    Picture,
    Point,
    PointKind,
    Property,
    Station,
    User,
)
from sites.templatetags.register import depth, missing_word, ohms

MOST_BREAKS, MOST_NOTICES = 12, 2
# Name, words, and an address where a tap does something.
Row = list[str]


def there_step(
    job: Job, stations: Sequence[Station], legs: Sequence[Leg], user: User, today: date
) -> Plain:
    """Return what is there, by subject.

    Args:
        legs: those of the wires that the visit is for, else none: then no box is named.
    """
    place = job.property
    facts = [
        _facts(_("Whom to call"), _contacts(place, user)),
        _facts(_("Getting in"), _access(place, job.day or today)),
        _facts(_("Controller"), _controllers(place, stations)),
        {**_facts(_("This station"), _stations(stations)), "is_visits": True},
        _facts(_("Buried lines of others"), _notices(place, job.fault)),
        _facts(_("Earlier breaks nearby"), _breaks(legs, job.fault)),
    ]
    return step(
        "there",
        _("What is there"),
        facts=[each for each in facts if each["rows"]],
        boxes=_boxes(job, legs),
        photos=[_photo(job, one, _("Photo of a visit")) for one in photos_of_visits(job)],
        words=_words(),
    )


def _facts(title: str, rows: Iterable[Row]) -> Plain:
    return {"title": title, "rows": list(rows)}


def _contacts(place: Property, user: User) -> Iterable[Row]:
    if not may(user, Action.SEE_CONTACTS, place):
        return
    rows = Contact.objects.filter(property=place, ended_on__isnull=True)
    for one in rows.order_by("name", "pk"):
        role = capfirst(str(one.get_role_display())) if one.role else _("Contact")
        words = f"{one.name}, {one.phone}" if one.phone else one.name
        yield [role, words, f"tel:{_dialled(one.phone)}" if one.phone else ""]


def _dialled(phone: str) -> str:
    return "".join(each for each in phone if each.isdigit() or each == "+")


def _access(place: Property, on: date) -> Iterable[Row]:
    if place.address:
        yield [_("Address"), place.address, _geo(place.latitude, place.longitude)]
    hours: dict[int, list[str]] = {}
    for one in place.access_hours.order_by("weekday", "opens_at", "pk"):
        words = f"{formats.time_format(one.opens_at)} – {formats.time_format(one.closes_at)}"
        hours.setdefault(one.weekday, []).append(words)
    for weekday, several in hours.items():
        yield [str(WEEKDAYS[weekday]), ", ".join(several), ""]
    if hours and on.weekday() not in hours:
        yield [formats.date_format(on), _("closed on this weekday"), ""]
    for shut in Blackout.objects.filter(property=place, to_on__gt=on).order_by("from_on", "pk")[:3]:
        days = f"{shut.from_on:%Y-%m-%d} – {shut.to_on:%Y-%m-%d}"
        yield [_("Nobody may work"), f"{days}: {shut.why}", ""]
    if place.notes:
        yield [_("Notes"), place.notes, ""]


def _controllers(place: Property, stations: Sequence[Station]) -> Iterable[Row]:
    ids = {station.controller_id for station in stations}
    rows = Controller.objects.in_care().filter(property=place)
    rows = rows.filter(pk__in=ids) if ids else rows
    spots = Point.objects.filter(property=place, kind=PointKind.CONTROLLER, retired_on=None)
    by_name = {spot.name.casefold(): spot for spot in spots.order_by("-pk")}
    for one in rows.order_by("name", "pk")[:10]:
        spot = by_name.get(one.name.casefold())
        known = [*(_ties(spot) if spot else []), one.notes]
        words = "; ".join(word for word in known if word)
        where = _geo(one.latitude, one.longitude) or (
            _geo(spot.latitude, spot.longitude) if spot else ""
        )
        if not words:
            words = _("shown on a map") if where else _("where it stands is not written down")
        yield [one.name, words, where]


def _stations(stations: Sequence[Station]) -> Iterable[Row]:
    if not stations:
        return
    expected, _own = expectations(stations)
    last = _newest_volts([each.pk for each in stations])
    for one in stations:
        known = expected[one.pk]
        coil = ohms(one.coil_ohms) if one.coil_ohms else _("not known")
        words = [_("coil %s") % coil]
        if one.second_coil_ohms:
            words.append(_("second coil %s") % ohms(one.second_coil_ohms))
        if known.total_ohms:
            words.append(_("should read %s at 20 °C") % ohms(known.total_ohms))
        elif known.missing and known.missing != "coil ohms":
            words.append(missing_word(known.missing))
        if (volts := last.get(one.pk)) is not None:
            words.append(_("%(volts)s V on %(day)s") % volts)
        if one.notes:
            words.append(one.notes)
        yield [str(one), ", ".join(words), ""]


def _newest_volts(ids: Sequence[int]) -> dict[int, dict[str, str]]:
    rows = Reading.objects.filter(station__in=ids, kind=ReadingKind.VOLTS, voided_on=None)
    return {
        row.station_id: {"volts": f"{row.value:g}", "day": row.taken_on.isoformat()}
        for row in rows.order_by("taken_on", "pk")
    }


def _notices(place: Property, fault: Fault | None) -> Iterable[Row]:
    """What each operator answered: who has marked, who has not."""
    rows = Notice.objects.filter(property=place, cancelled_on=None)
    rows = rows.filter(Q(fault=fault) | Q(fault=None)) if fault else rows.filter(fault=None)
    for one in rows.order_by("-given_at", "-pk").prefetch_related("operators")[:MOST_NOTICES]:
        ends = one.printed_expiry_on
        until = _(", runs out on %s") % ends.isoformat() if ends else ""
        yield [_("Ticket %s") % one.ticket, (one.area or _("all of it")) + until, ""]
        for each in sorted(one.operators.all(), key=lambda row: (row.operator, row.pk)):
            on = f", {each.answered_on:%Y-%m-%d}" if each.answered_on else ""
            note = f": {each.notes}" if each.notes else ""
            yield [each.operator, f"{each.get_state_display()}{on}{note}", ""]


def _breaks(legs: Sequence[Leg], fault: Fault | None) -> Iterable[Row]:
    rows = Break.objects.filter(leg__in=[leg.pk for leg in legs]).exclude(fault=fault)
    rows = rows.select_related("leg__from_point", "leg__to_point", "from_point", "fault__property")
    for one in rows.order_by("-found_on", "-pk")[:MOST_BREAKS]:
        words = [str(one.get_cause_display())]
        if one.feet_along is not None and one.leg is not None:
            far = length_in_words(one.feet_along, one.fault.property)
            start = one.from_point or one.leg.from_point
            words.insert(0, _("%(far)s from %(start)s") % {"far": far, "start": start})
        if one.how_mended:
            words.append(one.how_mended)
        yield [str(one), ", ".join(words), ""]


def _boxes(job: Job, legs: Sequence[Leg]) -> list[Plain]:
    """The boxes of these legs, each with all by which it is found."""
    chosen = boxes_on(legs)
    found = find_points(chosen, job.property) if chosen else {}
    photos = photos_of_boxes(chosen) if chosen else {}
    plain = []
    for point in chosen:
        name = _("Photo of %s") % point.name
        shown = [_photo(job, one, name) for one in photos.get(point.pk, [])]
        plain.append({**_box(point, found.get(point.pk)), "photos": shown})
    return plain


def _photo(job: Job, photo: Picture, name: str) -> Plain:
    """Where a picture is, and what it shows: its caption, else its name, and the day."""
    on = f", {photo.taken_on:%Y-%m-%d}" if photo.taken_on else ""
    where = reverse("faults:sheet_photo", args=[job.ref, photo.ref])
    # The phone leaves room for it, so that nothing moves under a thumb when it comes.
    size = [photo.width_px, photo.height_px]
    return {"src": where, "words": (photo.caption or name) + on, "size": size}


def _box(point: Point, found: Found | None) -> Plain:
    place, words = point.property, [str(point.get_kind_display())]
    if point.lid:
        words.append(_("lid: %s") % point.lid)
    if point.depth_in is not None:
        words.append(_("%s under ground") % depth(point.depth_in, place))
    plain: Plain = {"id": point.pk, "name": point.name, "words": ", ".join(words)}
    plain["ties"] = [word for word in (*_ties(point), point.notes) if word]
    if found is None:
        return plain
    if found.latitude is not None:
        plain["at"] = [round(found.latitude, 7), round(found.longitude or 0.0, 7)]
        plain["error_ft"] = round(found.error_ft, 1)
    if found.is_either or found.latitude is None:
        plain["clash"] = _clash(found, place)
    return plain


def _clash(found: Found, place: Property) -> str:
    if found.is_either:
        return _("Two places fit, one on each side of its marks.")
    off = length_in_words(found.clash_ft or 0.0, place)
    if not found.clash_with:
        return _("Its position lies %s from where its ties put it: go by the ties.") % off
    return _("Ties and position contradict each other: the tie to %(mark)s misses by %(off)s.") % {
        "mark": found.clash_with,
        "off": off,
    }


def _ties(point: Point) -> list[str]:
    return [word for word in (point.tie_1, point.tie_2) if word]


def _geo(latitude: float | None, longitude: float | None) -> str:
    if latitude is None or longitude is None:
        return ""
    return f"geo:{latitude:.6f},{longitude:.6f}"


def _words() -> dict[str, str]:
    return {
        "boxes": _("Boxes on the way"),
        "photos": _("Photos of visits"),
        "no_photo": _("This photo is not on this phone yet. It comes when there is signal."),
        "find": _("Find it"),
        "stop": _("Stop"),
        "waiting": _("Waiting for a position…"),
        "failed": _("No position: %s"),
        "here": _("You stand within the error of it: look within %s."),
        "go": _("%(far)s to the %(way)s, give or take %(error)s"),
        "error": _("Nine times in ten within %s"),
        "ways": "|".join(
            (
                _("north"),
                _("north-east"),
                _("east"),
                _("south-east"),
                _("south"),
                _("south-west"),
                _("west"),
                _("north-west"),
            )
        ),
    }
