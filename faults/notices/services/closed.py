"""Verbs on sets of closed days: seeded by a library of holidays, ticked after asking a centre."""

from collections.abc import Collection, Iterable
from datetime import date

from django.utils.translation import gettext as _

from faults.models import ClosedDay, ClosedDays
from sites.kernel.engines.roles import Action
from sites.kernel.lazily import lazily
from sites.kernel.services.verbs import UnableToAct, verb

holidays = lazily("holidays")

FIRST_YEAR, LAST_YEAR = 2000, 2100
MOST_YEARS = 10


class UnableToKeepClosedDays(UnableToAct):
    """A set of closed days that cannot be kept so."""


def countries() -> dict[str, list[str]]:
    """Return the countries that the library knows, each with its states and regions."""
    return {
        code: list(regions)
        for code, regions in sorted(holidays.list_supported_countries().items())
        if len(code) == 2
    }


@verb(
    name="make a set of closed days",
    action=Action.SET_NOTICE_RULES,
    guard="the name is free; country and region are known; one weekday is left open; 1 to 10 years",
    undo="leave it unused: a set that no rule names counts nowhere",
)
def make_closed_days(
    *, name: str, country: str, subdivision: str, weekend: str, years: Collection[int]
) -> ClosedDays:
    """Make a set with the holidays of a country and, unticked, those of its region alone."""
    kept = ClosedDays(name=" ".join(name.split()), country=country, subdivision=subdivision)
    kept.weekend = _weekend(weekend)
    _refuse_name(kept)
    _refuse_place(country, subdivision)
    kept.save()
    _seed(kept, years)
    return kept


@verb(
    name="change a set of closed days",
    action=Action.SET_NOTICE_RULES,
    guard="the name is free; one weekday is left open",
    undo="change it back, with the values that its history shows",
)
def change_closed_days(*, kept: ClosedDays, name: str, weekend: str) -> None:
    """Change the name of a set, or which weekdays are closed in every week."""
    kept.name, kept.weekend = " ".join(name.split()), _weekend(weekend)
    _refuse_name(kept)
    kept.save()


@verb(
    name="add years to a set of closed days",
    action=Action.SET_NOTICE_RULES,
    guard="years of this century that the set does not list yet",
    undo="untick the days",
)
def add_years(*, kept: ClosedDays, years: Collection[int]) -> int:
    """List the holidays of more years; return how many days were added."""
    return _seed(kept, years)


@verb(
    name="tick the days on which a centre is closed",
    action=Action.SET_NOTICE_RULES,
    guard="the days are of this set",
    undo="tick them as they were",
)
def tick_days(*, kept: ClosedDays, closed: Collection[int]) -> int:
    """Say which days of the set count as closed, by their keys; return how many changed."""
    wanted = set(closed)
    days = list(kept.days.order_by("on", "pk"))
    if wanted - {day.pk for day in days}:
        raise UnableToKeepClosedDays(_("One of these days is not of this set. Open it again."))
    changed = [day for day in days if day.is_closed != (day.pk in wanted)]
    for day in changed:
        day.is_closed = not day.is_closed
        day.save()
    return len(changed)


@verb(
    name="add a day to a set of closed days",
    action=Action.SET_NOTICE_RULES,
    guard="the set does not list the day yet; it has a name",
    undo="untick the day",
)
def add_day(*, kept: ClosedDays, on: date, name: str) -> ClosedDay:
    """Add a day on which the centre is closed and that no library lists."""
    if kept.days.filter(on=on).exists():
        raise UnableToKeepClosedDays(
            _("%s is in the set already. Tick it there.") % on.isoformat(), field="on"
        )
    if not name.strip():
        raise UnableToKeepClosedDays(_("What day is it?"), field="name")
    return ClosedDay.objects.create(of=kept, on=on, name=name.strip())


def days_from_library(
    country: str, subdivision: str, years: Iterable[int]
) -> list[tuple[date, str, bool]]:
    """Return (day, its name, whether the whole country keeps it), in order of days.

    A library lists ceremonial days too; days that a region alone lists start unticked, so that
    the owner has asked the centre.
    """
    wanted = sorted(set(years))
    whole = holidays.country_holidays(country, years=wanted)
    found = {day: (name, True) for day, name in whole.items() if day.year in wanted}
    if subdivision:
        region = holidays.country_holidays(country, subdiv=subdivision, years=wanted)
        own = {day: (name, False) for day, name in region.items() if day.year in wanted}
        found = own | found
    return [(day, *found[day]) for day in sorted(found)]


def _seed(kept: ClosedDays, years: Collection[int]) -> int:
    wanted = set(years)
    if (
        not wanted
        or len(wanted) > MOST_YEARS
        or not all(FIRST_YEAR <= y <= LAST_YEAR for y in wanted)
    ):
        raise UnableToKeepClosedDays(
            _("Give 1 to %(most)s years between %(first)s and %(last)s, such as 2026, 2027.")
            % {"most": MOST_YEARS, "first": FIRST_YEAR, "last": LAST_YEAR},
            field="years",
        )
    if not kept.country:
        raise UnableToKeepClosedDays(
            _("This set names no country: add its days by hand."), field="years"
        )
    known = set(kept.days.values_list("on", flat=True))
    added = 0
    for day, name, is_of_all in days_from_library(kept.country, kept.subdivision, wanted):
        if day not in known:
            ClosedDay.objects.create(of=kept, on=day, name=name[:120], is_closed=is_of_all)
            added += 1
    if not added:
        raise UnableToKeepClosedDays(_("All days of these years are listed."), field="years")
    return added


def _weekend(given: Iterable[str]) -> str:
    days = sorted({each for each in given if each in "0123456"})
    if len(days) == 7:
        raise UnableToKeepClosedDays(
            _("A centre that is closed on all seven days never counts: leave one open."),
            field="weekend",
        )
    return "".join(days)


def _refuse_name(kept: ClosedDays) -> None:
    if not kept.name:
        raise UnableToKeepClosedDays(_("Give the set a name."), field="name")
    if ClosedDays.objects.filter(name__iexact=kept.name).exclude(pk=kept.pk).exists():
        raise UnableToKeepClosedDays(_("A set of that name is kept already."), field="name")


def _refuse_place(country: str, subdivision: str) -> None:
    known = countries()
    if country not in known:
        raise UnableToKeepClosedDays(_("Choose a country of the list."), field="country")
    if subdivision and subdivision not in known[country]:
        raise UnableToKeepClosedDays(
            _("%(country)s has no state or region of that code. These are known: %(codes)s.")
            % {"country": country, "codes": ", ".join(known[country]) or "–"},
            field="subdivision",
        )
