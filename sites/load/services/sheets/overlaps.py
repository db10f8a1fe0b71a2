"""The days of each station as a whole: it is off central by one stopgap at a time."""

from dataclasses import dataclass, field
from datetime import date

from django.utils.translation import gettext as _

from sites.load.services.identity import IdentityMap, IdentitySet
from sites.load.services.load import Load, Notes
from sites.load.services.rows import Row
from sites.load.services.work import is_saved
from sites.models import OFF_CENTRAL_KINDS, Station, Stopgap


@dataclass
class StopgapNotes(Notes):
    """What the sheets of stopgaps and the flat lists say of stopgaps, for a look at the end."""

    rows: IdentityMap[Stopgap, Row] = field(default_factory=IdentityMap)
    stations: IdentitySet[Station] = field(default_factory=IdentitySet)
    overlaps_shown: IdentitySet[Stopgap] = field(default_factory=IdentitySet)
    # As written, in the order of the rows.
    unknown_reasons: dict[str, None] = field(default_factory=dict)

    def take(self, stopgap: Stopgap, row: Row) -> None:
        """Remember the row of a stopgap, and its station."""
        self.rows[stopgap] = row
        self.stations.add(stopgap.station)


def settle_overlaps(load: Load) -> None:
    """Name stopgaps of one station that share a day, before the database refuses them."""
    notes = load.notes(StopgapNotes)
    for station in notes.stations:
        stopgaps = load.book.stopgaps.get(station, [])
        _settle_station(stopgaps, notes)
        if any(_is_planned(load, each) for each in stopgaps):
            load.work.touch(station)
    if notes.unknown_reasons:
        shown = ", ".join(f"'{word}'" for word in list(notes.unknown_reasons)[:20])
        notes.unknown_reasons.clear()
        load.remarks.append(
            _(
                "Reasons that say nothing to Rejoin are kept as written, and count as not known: "
                "%(words)s."
            )
            % {"words": shown}
        )


def _is_planned(load: Load, stopgap: Stopgap) -> bool:
    return not is_saved(stopgap) or stopgap.pk in load.work.changed.get(Stopgap, {})


def _settle_station(stopgaps: list[Stopgap], notes: StopgapNotes) -> None:
    off = [
        (each, first)
        for each in stopgaps
        if each.kind in OFF_CENTRAL_KINDS
        and (first := _first_day(each)) is not None
        and each.removed_on != first
    ]
    off.sort(key=lambda pair: pair[1])
    held: Stopgap | None = None
    for each, first in off:
        if held is not None and (held.removed_on is None or held.removed_on > first):
            _tell(held, each, notes)
        if held is None or held.removed_on is None:
            held = held or each
        elif each.removed_on is None or each.removed_on > held.removed_on:
            held = each


def _first_day(stopgap: Stopgap) -> date | None:
    """A stopgap whose days are a problem of their own has none."""
    found: date | None = stopgap.counted_from
    return found


def _tell(earlier: Stopgap, later: Stopgap, notes: StopgapNotes) -> None:
    """At the row of the later one, or of the earlier one where only that is in the file."""
    row, other = notes.rows.get(later), earlier
    if row is None:
        row, other = notes.rows.get(earlier), later
    if row is None or later in notes.overlaps_shown:
        return
    notes.overlaps_shown.add(later)
    other_row = notes.rows.get(other)
    where = (
        _("row %(row)d of %(sheet)s")
        % {"row": other_row.number, "sheet": other_row.sheet.report.name}
        if other_row
        else _("the register")
    )
    row.problem(
        "fitted" if "fitted" in row.sheet.columns else "stopgap since",
        _(
            "The station is off central from %(from)s to %(to)s already, by the %(kind)s of "
            "%(where)s. Fill in when that one was removed, or take one of the two out."
        )
        % {
            "from": other.counted_from.isoformat(),
            "to": other.removed_on.isoformat() if other.removed_on else _("today"),
            "kind": other.kind,
            "where": where,
        },
    )
