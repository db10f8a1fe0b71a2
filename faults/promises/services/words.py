"""What a promise says: for pages, and ready to send in both languages."""

from datetime import date

from django.conf import settings
from django.utils import translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.models import Fault, Promise
from faults.promises.services.standing import LEAST, Shares, standing_promises
from faults.work.services.arriving import AWAITED
from sites.models import Station


def day_words(day: date, tenths: int) -> str:
    """Say a day and how sure it is."""
    # Translators: how a weekday and a date are written, as Django's formats are.
    words = {"day": date_format(day, _("l j F Y")), "n": tenths}
    return _("by %(day)s, %(n)d times of ten") % words


def letter(promise: Promise) -> str:
    """Return what can be sent to the client, in the language that is active.

    Of one station it names the days of the others that have their own.
    """
    rows = promise.fault.stations.select_related("station__controller").order_by("pk")
    every = [row.station for row in rows]
    stations = [promise.station] if promise.station else every
    words = {
        "to": promise.said_to,
        "place": promise.fault.property.name or promise.fault.property.code,
        "stations": ", ".join(station_words(each) for each in stations),
        "day": day_words(promise.by_on, promise.tenths),
    }
    line = ngettext(
        "Hello %(to)s,\nstation %(stations)s at %(place)s will run from central control again "
        "%(day)s. Should the day move, we tell you before it comes.",
        "Hello %(to)s,\nstations %(stations)s at %(place)s will run from central control again "
        "%(day)s. Should the day move, we tell you before it comes.",
        len(stations),
    )
    return line % words + _others_words(promise) + _visit_words(promise.fault)


def station_words(station: Station) -> str:
    """Return a station as clients know it."""
    return f"{station} {station.name}".strip()


def _others_words(promise: Promise) -> str:
    others = standing_promises().filter(fault=promise.fault, station__isnull=False)
    if promise.station is not None:
        others = others.exclude(station=promise.station)
    lines = [
        _("Station %(station)s: %(day)s.")
        % {
            "station": station_words(one.station),
            "day": day_words(one.by_on, one.tenths),
        }
        for one in others.order_by("by_on", "pk")
        if one.station is not None
    ]
    return "".join(f"\n{line}" for line in lines)


def _visit_words(fault: Fault) -> str:
    """Say when somebody comes, where times were promised and nobody has come yet."""
    if fault.promised_on is None or not fault.promised_hours() or fault.stage not in AWAITED:
        return ""
    if fault.jobs.filter(started_at__isnull=False).exists():
        return ""
    # Translators: how a weekday and a date are written, as Django's formats are.
    words = {"day": date_format(fault.promised_on, _("l j F Y")), "hours": fault.promised_hours()}
    return "\n" + _("Somebody comes on %(day)s, %(hours)s.") % words


def letters(promise: Promise) -> list[tuple[str, str, str]]:
    """Return code, name and words of each language."""
    found = []
    for code, name in settings.LANGUAGES:
        with translation.override(code):
            words = letter(promise)
        found.append((code, str(name), words))
    return found


def share_words(shares: Shares) -> str:
    """Say which share was kept of those that were stated alike."""
    words = {"n": shares.tenths, "kept": shares.kept, "of": shares.of}
    said = _("Stated at %(n)d times of ten: %(kept)d of %(of)d kept.") % words
    if shares.of < LEAST:
        return f"{said} " + _("Too few to tell.")
    return f"{said} " + _("So %(low)d to %(high)d %% are kept, 19 times of 20.") % _limits(shares)


def would_words(shares: Shares) -> str:
    """Say which share of days that nobody promised would have been kept."""
    words = {"n": shares.tenths, "kept": shares.kept, "of": shares.of}
    said = _("At %(n)d times of ten: %(kept)d of %(of)d would have been kept.") % words
    if shares.of < LEAST:
        return f"{said} " + _("Too few to tell.")
    return f"{said} " + _("So %(low)d to %(high)d %%, 19 times of 20.") % _limits(shares)


def _limits(shares: Shares) -> dict[str, int]:
    return {"low": round(100 * shares.low), "high": round(100 * shares.high)}
