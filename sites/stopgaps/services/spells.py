"""Rebuild spells from stopgaps, central states and retirements.

Spells are derived. What changes a stopgap, a central state or a retirement rebuilds them in the
same transaction (`keeping_spells.py`), so that no page sees the one without the other.
The engine `spells` computes; `Spell` and `SpellPart` store. Off central on any day is one query
over `SpellPart`, and the reasons add up to the total because no day lies in two parts: the
database refuses it.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime

from django.db import transaction
from django.dispatch import Signal

from sites.models import (
    Central,
    CentralState,
    Spell,
    SpellPart,
    Station,
    Stopgap,
)
from sites.stopgaps.engines.spells import Claim, Interval, Reason, periods_off, spells
from sites.stopgaps.engines.spells import Spell as Days

CHUNK = 2000

Claims = dict[int, list[Claim]]
Outside = dict[int, list[Interval]]


# Sent inside the transaction, so that an upper app can rebuild what it derives from spells, and
# tell others. `station_ids` are those whose spells changed; of these `went_off` were on central
# and are off, and `no_more_off` were off and are not: with the first day of the spell as it was.
spells_rebuilt = Signal()


@transaction.atomic
def rebuild_spells(
    station_ids: Iterable[int], *, say: Callable[[int, int], object] = lambda _done, _total: None
) -> int:
    """Recompute the spells of these stations, write what differs; return how many changed.

    Args:
        say: called before each some thousand stations with how many are done, and of how many.
    """
    ids = sorted(set(station_ids))
    changed = 0
    for start in range(0, len(ids), CHUNK):
        say(start, len(ids))
        changed += _rebuild_chunk(ids[start : start + CHUNK])
    return changed


def rebuild_all_spells(*, at: datetime) -> int:
    """Recompute the spells of all stations, some thousand at a time; return how many changed.

    Args:
        at: of no account: spells follow from recorded days, not from the clock.
    """
    return rebuild_spells(Station.objects.order_by().values_list("pk", flat=True))


def _rebuild_chunk(station_ids: list[int]) -> int:
    wanted = spells_from_records(station_ids)
    standing = _standing(station_ids)
    # A station that is gone, with a load that was taken back, has none.
    known = [pk for pk in station_ids if pk in wanted]
    differing = [pk for pk in known if _shape(wanted[pk]) != standing.get(pk, [])]
    if not differing:
        return 0
    old = Spell.objects.filter(station_id__in=differing)
    were_off = dict(old.filter(to_on=None).order_by().values_list("station_id", "from_on"))
    old.delete()
    _write({pk: wanted[pk] for pk in differing})
    are_off = {pk for pk in differing if wanted[pk] and wanted[pk][-1].days.to_on is None}
    spells_rebuilt.send(
        sender=Spell,
        station_ids=differing,
        went_off=[pk for pk in differing if pk in are_off and pk not in were_off],
        no_more_off={pk: day for pk, day in were_off.items() if pk not in are_off},
    )
    return len(differing)


def spells_from_records(station_ids: Sequence[int]) -> dict[int, list[Days]]:
    """Return each station's spells, computed from what is recorded. Writes nothing."""
    stations = list(
        Station.objects.filter(pk__in=station_ids).values_list(
            "pk",
            "controller_id",
            "retired_on",
            "controller__retired_on",
            "controller__property__retired_on",
        )
    )
    lost, outside = _of_controllers({row[1] for row in stations})
    by_stopgap = _of_stopgaps(station_ids)
    result: dict[int, list[Days]] = {}
    for pk, controller_id, *retired in stations:
        gone = [Interval(day) for day in retired if day is not None]
        parts = periods_off(
            by_stopgap[pk] + lost[controller_id], outside=outside[controller_id] + gone
        )
        result[pk] = spells(parts)
    return result


def _of_stopgaps(station_ids: Sequence[int]) -> Claims:
    claims: Claims = defaultdict(list)
    rows = Stopgap.objects.off_central().filter(station_id__in=station_ids)
    for row in rows.only("station_id", "counted_from", "removed_on", "reason", "fitted_earliest"):
        claims[row.station_id].append(
            Claim(
                Interval(row.counted_from, row.removed_on),
                Reason(row.reason),
                source=row.pk,
                is_exact=row.fitted_is_exact,
            )
        )
    return claims


def _of_controllers(controller_ids: Iterable[int]) -> tuple[Claims, Outside]:
    lost: Claims = defaultdict(list)
    outside: Outside = defaultdict(list)
    states = CentralState.objects.filter(
        controller_id__in=controller_ids, state__in=[Central.LINK_LOST, Central.NOT_MEANT]
    )
    for state in states:
        days = Interval(state.from_on or date.min, state.to_on)
        if state.state == Central.NOT_MEANT:
            outside[state.controller_id].append(days)
        else:
            lost[state.controller_id].append(
                Claim(days, Reason.LINK_LOST, is_exact=state.from_is_exact)
            )
    return lost, outside


def _shape(days: Sequence[Days]) -> list[tuple[object, ...]]:
    return [
        (part.days.from_on, part.days.to_on, part.reason.value, part.source, spell.is_exact)
        for spell in days
        for part in spell.parts
    ]


def _standing(station_ids: list[int]) -> dict[int, list[tuple[object, ...]]]:
    """A spell whose part went with its stopgap stands with an empty shape, unlike any wanted."""
    standing: dict[int, list[tuple[object, ...]]] = defaultdict(list)
    of_part = (f"parts__{name}" for name in ("from_on", "to_on", "reason", "stopgap_id"))
    rows = (
        Spell.objects.filter(station_id__in=station_ids)
        .order_by("parts__from_on", "parts__pk")
        .values_list("station_id", *of_part, "from_is_exact")
    )
    for station_id, *shape in rows:
        standing[station_id].append(tuple(shape))
    return standing


def _write(wanted: dict[int, list[Days]]) -> None:
    owners = [
        (
            Spell(
                station_id=station_id,
                from_on=days.days.from_on,
                to_on=days.days.to_on,
                from_is_exact=days.is_exact,
            ),
            days,
        )
        for station_id, all_days in wanted.items()
        for days in all_days
    ]
    Spell.objects.bulk_create([spell for spell, _ in owners], batch_size=CHUNK)
    SpellPart.objects.bulk_create(
        [
            SpellPart(
                spell=spell,
                station_id=spell.station_id,
                from_on=part.days.from_on,
                to_on=part.days.to_on,
                reason=part.reason.value,
                stopgap_id=part.source,
            )
            for spell, days in owners
            for part in days.parts
        ],
        batch_size=CHUNK,
    )
