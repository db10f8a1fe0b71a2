"""Things of a search: begun, a test, a test taken back, given up."""

from django.utils.translation import gettext as _

from faults.locating.services.doing import (
    finish_search,
    record_search_reading,
    start_search,
    void_search_reading,
)
from faults.models import Search, SearchOutcome, SearchReading
from faults.sheet.services.fault_items import the_fault
from faults.sheet.services.round_items import the_station
from faults.sheet.services.told import Item, UnableToTakeIn, kind
from sites.kernel.engines.roles import Action


@kind("search", Action.TAKE_READINGS)
def begin(item: Item) -> str:
    """A search begins. Where another one of the station goes on, its tests join that."""
    station = the_station(item)
    going = Search.objects.open().filter(station=station, fault=the_fault(item)).first()
    if going is None:
        going = start_search(
            fault=the_fault(item),
            station=station,
            at=item.at,
            by=item.by,
            key=item.id,
            job=item.job,
            tools=[word for word in item.said.many("tools") if isinstance(word, str)],
            may_cut=item.said.ticked("may_cut"),
            soil_is_dry=item.said.ticked("soil_is_dry"),
        )
    return f"search:{going.pk}"


@kind("search test", Action.TAKE_READINGS)
def record_test(item: Item) -> str:
    """One test and what it said."""
    said = item.said.body.get("said")
    if not isinstance(said, dict):
        raise UnableToTakeIn(_("The test does not say what it gave. Make it again."))
    row = record_search_reading(
        search=_search(item),
        said=said,
        taken_at=item.at,
        by=item.by,
        now=item.now,
        key=item.id,
    )
    return f"test:{row.pk}"


@kind("search void", Action.TAKE_READINGS)
def take_back(item: Item) -> str:
    """A test was wrong: it stays in view, struck through."""
    of = item.said.uuid("of")
    rows = SearchReading.objects.filter(search__fault=the_fault(item))
    row = rows.select_related("search").filter(key=of).first() if of else None
    if row is None:
        raise UnableToTakeIn(_("The test that this takes back was not kept: nothing to do."))
    if row.voided_at is None:
        why = item.said.words("why", 200) or _("tapped by mistake")
        void_search_reading(reading=row, why=why, now=item.now)
    return ""


@kind("search end", Action.TAKE_READINGS)
def give_up(item: Item) -> str:
    """The search is given up: its last likelihood is kept."""
    search = _search(item)
    if search.ended_at is None:
        finish_search(
            search=search,
            outcome=SearchOutcome.GIVEN_UP,
            at=max(item.at, search.started_at),
            now=item.now,
            why=item.said.words("why", 300),
        )
    return ""


def _search(item: Item) -> Search:
    """Return the search by the key made on the phone, or the one that goes on in its place."""
    rows = Search.objects.filter(fault=the_fault(item)).select_related(
        "fault__property", "station__controller__property"
    )
    key = item.said.uuid("search")
    named = rows.filter(key=key).first() if key else None
    if named is not None:
        return named
    going = rows.filter(station=the_station(item), ended_at__isnull=True).first()
    if going is None:
        raise UnableToTakeIn(
            _("No search of this station goes on. Start one, and enter the test again.")
        )
    return going
