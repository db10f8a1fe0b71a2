"""Legs before and after they were renewed."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from django.utils.translation import gettext as _

from reports.hotspots.engines.evidence import DAYS_A_YEAR
from reports.hotspots.queries import break_rows, renewals_by_leg
from reports.hotspots.services.collecting import Collected, known_since
from reports.hotspots.services.pictures import Compared, Side, compare
from reports.hotspots.services.whole_legs import Stretch


def before_and_after(
    stretches: Sequence[Stretch], collected: Collected, until: date, *, cause: str = ""
) -> Compared | None:
    """Compare faults before and after the newest renewal of each leg that had one.

    Legs are renewed because they were bad, so part of any fall is chance: pages say so.

    Returns:
        None where no leg was renewed.
    """
    places = list({one.row.property_id: one.place for one in stretches}.values())
    renewed = renewals_by_leg(places)
    days = {one.row.pk: day for one in stretches if (day := _newest(one, renewed, until))}
    if not days:
        return None
    struck: dict[int, list[date]] = defaultdict(list)
    for row in break_rows(places):
        if row.leg_id is not None and (not cause or row.cause == cause):
            struck[collected.root_of.get(row.leg_id, 0)].append(row.reported_on)
    known = known_since(places)
    counts, feet_years = [0, 0], [0.0, 0.0]
    for one in stretches:
        start, on = known[one.place.pk], days.get(one.row.pk)
        if on is None or start is None:
            continue
        start = max(start, one.row.observed_from or start)
        for side, (first, last) in enumerate(((on, until), (start, on))):
            counts[side] += sum(first <= day < last for day in struck[one.row.pk])
            years = max((last - first).days, 0) / DAYS_A_YEAR
            feet_years[side] += years * one.length_ft / 1000
    return compare(
        Side(_("since it was renewed"), counts[0], feet_years[0]),
        Side(_("before"), counts[1], feet_years[1]),
    )


def _newest(one: Stretch, renewed: Mapping[int, Sequence[date]], until: date) -> date | None:
    days = [on for part in one.parts for on in renewed.get(part.row.pk, ())]
    return max((day for day in days if day < until), default=None)
