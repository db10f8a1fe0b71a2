"""Files older than a split name a leg that is retired: its places lie in the parts now."""

from django.utils.translation import gettext as _

from faults.models import Break
from sites.cells.engines.plain_words import same_name
from sites.ground.engines.splits import Mark
from sites.ground.services.splitting import resolve_mark
from sites.load.services.load import Load
from sites.load.services.rows import Row
from sites.load.services.sheets.lies import leg_named
from sites.models import Leg, Property


def follow_split(load: Load, row: Row, place: Property, found: Break) -> None:
    """Read a row that gives feet along a split leg as naming the part that is there now.

    Without feet nobody knows which part is meant, so the row stays as it is.
    """
    label, feet = row.get("leg"), row.get("feet")
    leg = leg_named(load, place, label) if label else None
    if leg is None or leg.retired_on is None or feet is None or feet > leg.length_ft:
        return
    there, mark = resolve_mark(leg, Mark(feet, _from_second(row, leg, found)))
    if there == leg:
        return
    row.read_as("leg", there.label or there.ref)
    row.read_as("feet", mark.feet)
    row.read_as("from point", (there.to_point if mark.from_second else there.from_point).name)
    row.remark(
        _("leg %(old)s was split or joined since: this lies in %(new)s now.")
        % {"old": str(leg), "new": str(there)}
    )


def _from_second(row: Row, leg: Leg, found: Break) -> bool:
    """A blank cell leaves the end from which the break that is known was measured."""
    if name := row.get("from point"):
        return same_name(name) == same_name(leg.to_point.name)
    known = found.leg if found.pk is not None else None
    return known is not None and found.from_point_id == known.to_point_id
