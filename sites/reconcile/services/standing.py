"""Differences that stand: each is raised by the list that shows it first, and once.

A list speaks of the controllers that it names; of those another list spoke last, it says nothing.
So an export for each controller does as well as one of all. Only a list that comes in adds
differences: what changes in the register later is newer than the list, and takes them away alone.
"""

from collections import defaultdict
from collections.abc import Iterable

from sites.cells.engines.plain_words import same_name
from sites.models import CentralList, NewestList, Property, StandingDifference
from sites.reconcile.services.differences import Compared, Key, compare_at


def raise_differences(central: CentralList, compared: Compared) -> None:
    """Note what a list that just came in shows, of the controllers that it names."""
    by_code = {same_name(place.code): place for place in compared.places}
    named = {
        (by_code[same_name(code)].pk, same_name(clock))
        for code, clock in central.rows.order_by().values_list("property_code", "controller_name")
        if same_name(code) in by_code
    }
    NewestList.objects.bulk_create(
        [
            NewestList(property_id=place, controller_name=clock, list=central)
            for place, clock in sorted(named)
        ],
        update_conflicts=True,
        unique_fields=["property", "controller_name"],
        update_fields=["list"],
    )
    rows = StandingDifference.objects.filter(property__in=compared.places).order_by("pk")
    standing = {_key(row): row for row in rows if _key(row)[:2] in named}
    shown = {line.key: line for line in compared.open if line.key[:2] in named}
    _forget(row for key, row in standing.items() if key not in shown)
    StandingDifference.objects.bulk_create(
        [
            StandingDifference(
                property=line.place,
                controller_name=line.controller_name,
                number=line.number,
                difference=line.difference,
                list=central,
                since=central.at,
            )
            for key, line in shown.items()
            if key not in standing
        ],
        batch_size=1000,
    )


def forget_settled() -> int:
    """Let go what was put right or decided since; return how many."""
    rows = list(StandingDifference.objects.order_by("pk"))
    differing = {row.property_id for row in rows}
    places = {place.pk: place for place in Property.objects.in_care().filter(pk__in=differing)}
    spoke_of: dict[CentralList, set[tuple[int, str]]] = defaultdict(set)
    newest = NewestList.objects.filter(property__in=places).select_related("list")
    for row in newest.order_by("pk"):
        spoke_of[row.list].add((row.property_id, row.controller_name))
    shown: set[Key] = set()
    for central, named in spoke_of.items():
        there = [places[pk] for pk in sorted({place for place, _clock in named})]
        lines = compare_at(central, there).open
        shown |= {line.key for line in lines if line.key[:2] in named}
    return _forget(row for row in rows if _key(row) not in shown)


def _forget(rows: Iterable[StandingDifference]) -> int:
    return StandingDifference.objects.filter(pk__in=[row.pk for row in rows]).delete()[0]


def _key(row: StandingDifference) -> Key:
    return row.property_id, same_name(row.controller_name), row.number, row.difference
