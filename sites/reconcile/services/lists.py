"""Take in the central system's own list: which stations it names, and whether each is enabled."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils.translation import gettext as _

from sites.cells.engines.plain_words import same_name
from sites.cells.services.columns import Manner
from sites.cells.services.refusals import UnableToRead
from sites.kernel.access import may_everywhere, properties_for, properties_where
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.load.services.files import RegisterFile, read_files
from sites.load.services.preview import Digest, Problem
from sites.load.services.recognise import Answers, recognise
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.central import KIND
from sites.models import CentralList, Controller, ListedStation, NewestList, Property, Station, User
from sites.reconcile.services.differences import compare, forget_what_changed
from sites.reconcile.services.standing import raise_differences

MOST_ROWS = 50_000


class UnableToTakeList(UnableToAct):
    """A list that cannot be read; `problems` names its rows, if it has any."""

    def __init__(self, message: str, problems: Sequence[Problem] = ()) -> None:
        super().__init__(message, field="brought")
        self.problems = list(problems)


Key = tuple[int, str, int]


@dataclass
class Registered:
    """What a list is matched with: properties, controllers and stations that the user has."""

    places: dict[str, Property]
    controllers: dict[tuple[int, str], Controller]
    stations: dict[Key, Station]
    by_controller: dict[str, list[Controller]] = field(default_factory=dict)

    @classmethod
    def of(cls, user: User, place: Property | None) -> "Registered":
        """Read them once."""
        places = properties_for(user, Action.RECONCILE).in_care().order_by("pk")
        known = list(places.filter(pk=place.pk) if place else places)
        by_pk = {each.pk: each for each in known}
        controllers = Controller.objects.in_care().filter(property__in=by_pk).order_by("pk")
        found = cls({}, {}, {})
        for each in known:
            found.places |= {same_name(each.name): each} if each.name else {}
        found.places |= {same_name(each.code): each for each in known}
        for clock in controllers:
            found.controllers[clock.property_id, same_name(clock.name)] = clock
            found.by_controller.setdefault(same_name(clock.name), []).append(clock)
        stations = Station.objects.in_care().filter(controller__property__in=by_pk)
        for station in stations.select_related("controller").order_by("pk"):
            clock = station.controller
            found.stations[clock.property_id, same_name(clock.name), station.number] = station
        return found


def lists_for(user: User) -> QuerySet[CentralList]:
    """Return the lists that a user may work through; of one over several, as far as it is theirs.

    Only `foreign` of what is compared tells of other properties: it is for `sees_all_of`.
    """
    if may_everywhere(user, Action.RECONCILE):
        return CentralList.objects.all()
    theirs = properties_where(user, Action.RECONCILE, "property")
    of_places = theirs & Q(property__isnull=False)
    named = Exists(NewestList.objects.filter(theirs, list=OuterRef("pk")))
    over_several = Q(property__isnull=True) & (Q(by=user) | named)
    return CentralList.objects.filter(of_places | over_several)


def sees_all_of(central: CentralList, user: User) -> bool:
    """Return whether a user may read every row of a list."""
    return central.by_id == user.pk or may_everywhere(user, Action.RECONCILE)


@verb(
    name="bring the central system's list",
    action=Action.RECONCILE,
    guard="every row can be read and names a property where the user may reconcile, or none",
    undo="bring a newer list: each list is compared by itself",
)
def take_list(
    *, files: Sequence[RegisterFile], place: Property | None, by: User, at: datetime, today: date
) -> CentralList:
    """Keep what the list says about each station, all of it or nothing.

    Decisions about differences that this list does not show any more are forgotten, and
    differences that no earlier list showed are raised.
    """
    sheets = _sheets(files, today)
    registered = Registered.of(by, place)
    rows = _Rows(registered, place)
    for sheet in sheets:
        rows.read(sheet)
    problems = [problem for sheet in sheets for problem in sheet.report.problems]
    if problems:
        raise UnableToTakeList(_("Nothing was taken in: there are rows to mend first."), problems)
    if not rows.found:
        raise UnableToTakeList(_("The list names no station. Bring the one with all stations."))
    names = ", ".join(file.filename for file in files)[:200]
    central = CentralList.objects.create(property=place, filename=names, by=by, at=at)
    for listed in rows.found.values():
        listed.list = central
    ListedStation.objects.bulk_create(rows.found.values(), batch_size=2000)
    compared = compare(central, by)
    forget_what_changed(compared)
    raise_differences(central, compared)
    return central


def _sheets(files: Sequence[RegisterFile], today: date) -> list[Sheet]:
    """Sheets that name controllers and numbers, whatever else stands beside them."""
    kinds, answers = {KIND.name: KIND}, Answers.from_json(None)
    try:
        raw = read_files(list(files))
    except UnableToRead as refusal:
        raise UnableToTakeList(str(refusal)) from None
    found = [recognise(each, kinds, answers, Digest()) for each in raw]
    sheets = [each for each in found if each and each.kind.required <= set(each.columns)]
    if not sheets:
        raise UnableToTakeList(
            _("No list was recognised. It needs a column 'controller' and one 'station number'; "
              "'enabled' and 'property code' where it has them.")
        )  # fmt: skip
    if sum(len(each.raw.rows) for each in sheets) > MOST_ROWS:
        raise UnableToTakeList(_("This is more than %d rows. Bring it in parts.") % MOST_ROWS)
    for sheet in sheets:
        sheet.manner = Manner(today)
    return sheets


class _Rows:
    """The rows of all sheets, each station once."""

    def __init__(self, registered: Registered, place: Property | None) -> None:
        self.registered, self.place = registered, place
        self.found: dict[tuple[str, str, int], ListedStation] = {}

    def read(self, sheet: Sheet) -> None:
        """Take in the rows of one sheet."""
        for row in sheet.rows():
            if not row.is_complete():
                continue
            row.read_all()
            if row.problems:
                continue
            code = self._code(row)
            if code is not None:
                self._keep(row, code)

    def _code(self, row: Row) -> str | None:
        """The property's code as registered; as written where nobody knows it; None: not ours."""
        written = row.text("property code")
        known = self.registered.places.get(same_name(written)) if written else self.place
        if known is not None:
            return known.code
        if self.place is not None:
            return None
        if written:
            return written[:60]
        clocks = self.registered.by_controller.get(same_name(row.get("controller")), [])
        if len(clocks) == 1:
            return self._code_of(clocks[0])
        row.problem(
            "controller",
            _("Which property is this on? Add a column 'property code', or choose the property "
              "above.") if clocks else
            _("No property of yours has this controller. Add a column 'property code', or choose "
              "the property above."),
        )  # fmt: skip
        return None

    def _code_of(self, clock: Controller) -> str:
        codes: Iterable[str] = (
            each.code for each in self.registered.places.values() if each.pk == clock.property_id
        )
        return next(iter(codes))

    def _keep(self, row: Row, code: str) -> None:
        name, number = row.get("controller"), row.get("station number")
        place = self.registered.places.get(same_name(code))
        clock = self.registered.controllers.get((place.pk, same_name(name))) if place else None
        listed = ListedStation(
            property_code=code,
            controller_name=clock.name if clock else name,
            number=number,
            is_enabled=row.get("enabled"),
            station=self.registered.stations.get((place.pk, same_name(name), number))
            if place
            else None,
        )
        known = self.found.setdefault((same_name(code), same_name(name), number), listed)
        if known.is_enabled != listed.is_enabled:
            row.problem("station number", _("An earlier row says otherwise about this station."))
