"""Off central control at the start and the end of a period, and each change between."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from reports.issued.engines.periods import looked_at
from reports.issued.queries import parts_between, parts_on
from reports.issued.services.asking import Scene
from reports.off_central.charts import LOOK
from reports.off_central.queries import groups_of
from reports.off_central.services.plain import WHY
from sites.documents.charts.bars import Series, stacked
from sites.documents.engines import figures
from sites.documents.engines.document import (
    Block,
    Drawing,
    Facts,
    Figure,
    Paragraph,
    Section,
    Table,
)
from sites.models import Property, SpellPart
from sites.stopgaps.engines.spells import Reason
from sites.templatetags.register import REASON_WORDS, age, since

ONE_DAY = timedelta(days=1)
# The patterns of `LOOK`, as paths in a tile of 8 by 8.
_TILES = {"": "", "-": "M0 4h8", "|": "M4 0v8", "/": "M0 8L8 0", "x": "M0 0l8 8M8 0L0 8",
          "+": "M4 0v8M0 4h8"}  # fmt: skip


@dataclass(frozen=True)
class Counts:
    """How many of each reason were off at the start and at the end, and what came between."""

    at_start: Counter[str]
    came: Counter[str]
    ended: Counter[str]
    at_end: Counter[str]

    def reasons(self) -> list[str]:
        """Return the reasons that occur, by precedence."""
        every = {**self.at_start, **self.came, **self.ended, **self.at_end}
        return [reason.value for reason in Reason if every.get(reason.value)]


def off_on(places: Sequence[Property], day: date) -> Counter[str]:
    """Return how many stations each reason held off on a day."""
    found = Counter[str]()
    for group in groups_of([place.pk for place in places], day):
        found[group.reason] += group.count
    return found


def counts_of(scene: Scene, parts: Sequence[SpellPart]) -> Counts:
    """Count by reason. What a reason was at the start, with what came less what ended, is the end.

    A station whose reason changed ended with the one and came with the other.
    """
    first, last = scene.from_on, scene.until_on
    return Counts(
        off_on([scene.place], first - ONE_DAY),
        Counter(part.reason for part in parts if first <= part.from_on <= last),
        Counter(part.reason for part in parts if part.to_on and first <= part.to_on <= last),
        off_on([scene.place], last),
    )


def off_sections(scene: Scene, level: int = 1) -> list[Section]:
    """Return the part on what was off central control."""
    parts = parts_between(scene.place, scene.from_on, scene.until_on)
    counts = counts_of(scene, parts)
    blocks: list[Block] = [
        Paragraph(_headline(scene, counts)),
        _facts(scene, counts),
        _by_reason(counts),
        *chart_blocks([scene.place], scene.from_on, scene.until_on),
    ]
    return [
        Section("off central", _("Off central control"), blocks, level),
        Section("changes", _("Each change, by day"), [_changes(scene, parts)], level + 1),
        Section("off at the end", _("Off central at the end"), [_at_end(scene)], level + 1),
    ]


def _headline(scene: Scene, counts: Counts) -> str:
    start, end = counts.at_start.total(), counts.at_end.total()
    words = {"start": start, "end": end, "from": scene.from_on, "until": scene.until_on}
    if end < start:
        return _("Down to %(end)s from %(start)s between %(from)s and %(until)s.") % words
    if end > start:
        return _("Up to %(end)s from %(start)s between %(from)s and %(until)s.") % words
    return ngettext(
        "Unchanged: %(end)s station between %(from)s and %(until)s.",
        "Unchanged: %(end)s stations between %(from)s and %(until)s.",
        end,
    ) % words  # fmt: skip


def _facts(scene: Scene, counts: Counts) -> Facts:
    before = scene.from_on - ONE_DAY
    return Facts(
        "totals",
        [
            (_("Off at the end of %s") % before, figures.count(counts.at_start.total())),
            (_("Off at the end of %s") % scene.until_on, figures.count(counts.at_end.total())),
        ],
    )


def _by_reason(counts: Counts) -> Table:
    reasons = counts.reasons()
    columns = (counts.at_start, counts.came, counts.ended, counts.at_end)
    rows = [
        [figures.text(REASON_WORDS[reason]), *(figures.count(each[reason]) for each in columns)]
        for reason in reasons
    ]
    total = [figures.text(_("All")), *(figures.count(each.total()) for each in columns)]
    return Table(
        "by reason",
        _("By reason"),
        [_("Reason"), _("At the start"), _("Began"), _("Ended"), _("At the end")],
        [*rows, total] if rows else [],
        [1, 2, 3, 4],
        _("No station was off central control."),
    )


def chart_blocks(places: Sequence[Property], from_on: date, until_on: date) -> list[Block]:
    """Return the chart of what was off over the period, and its table."""
    days = looked_at(from_on, until_on)
    counted = [off_on(places, day) for day in days]
    reasons = [reason.value for reason in Reason if any(each[reason.value] for each in counted)]
    if not reasons:
        return []
    series = [
        Series(
            str(REASON_WORDS[reason]),
            LOOK[reason][0],
            _TILES[LOOK[reason][1]],
            [each[reason] for each in counted],
        )
        for reason in reasons
    ]
    alt = _("Stations off central control at the end of days from %(from)s to %(until)s.") % {
        "from": days[0],
        "until": days[-1],
    }
    drawing = Drawing(
        stacked([day.isoformat()[5:] for day in days], series),
        alt,
        _("Stations off central control"),
    )
    rows = [
        [figures.day(day), *(figures.count(each[reason]) for reason in reasons),
         figures.count(each.total())]
        for day, each in zip(days, counted, strict=True)
    ]  # fmt: skip
    headings = [_("At the end of"), *(str(REASON_WORDS[reason]) for reason in reasons), _("All")]
    table = Table("over time", _("The numbers of the chart"), headings, rows,
                  list(range(1, len(headings))))  # fmt: skip
    return [drawing, table]


def _changes(scene: Scene, parts: Sequence[SpellPart]) -> Table:
    """A row for each station and day: what held it off before, and after."""
    days: dict[tuple[date, int], dict[str, SpellPart]] = defaultdict(dict)
    for part in parts:
        if scene.from_on <= part.from_on <= scene.until_on:
            days[part.from_on, part.station_id]["after"] = part
        if part.to_on and scene.from_on <= part.to_on <= scene.until_on:
            days[part.to_on, part.station_id]["before"] = part
    rows = [
        _change(scene, day, found.get("before"), found.get("after"))
        for (day, _station), found in sorted(days.items(), key=lambda each: each[0])
        if _is_change(found.get("before"), found.get("after"))
    ]
    return Table(
        "changes",
        "",
        [_("Day"), _("Station"), _("What changed"), _("Reason"), _("Days off central")],
        rows,
        [],
        _("Nothing changed in this time."),
    )


def _is_change(before: SpellPart | None, after: SpellPart | None) -> bool:
    """A part that ends where the next begins for the same reason changed what stands in alone."""
    return before is None or after is None or before.reason != after.reason


def _change(
    scene: Scene, day: date, before: SpellPart | None, after: SpellPart | None
) -> list[Figure]:
    one = after or before
    assert one is not None
    station = figures.text(f"{one.station} {one.station.name}".strip())
    if before is None:
        assert after is not None
        reason, what, days = reason_of(scene, after.reason), _("went off central control"), ""
    elif after is None:
        reason, what = reason_of(scene, before.reason), _("came back to central control")
        days = age((day - before.spell.from_on).days, before.spell.from_is_exact)
    else:
        what, days = _("is off for another reason"), ""
        words = {"before": reason_of(scene, before.reason), "now": reason_of(scene, after.reason)}
        reason = _("%(before)s; now: %(now)s") % words
    return [figures.day(day), station, Figure(what), Figure(reason), Figure(days)]


def reason_of(scene: Scene, reason: str) -> str:
    """Return the reason, to a client in plain words."""
    return str(WHY[reason] if scene.asked.is_for_client else REASON_WORDS[reason])


def _at_end(scene: Scene) -> Table:
    rows = [
        [
            figures.text(f"{part.station} {part.station.name}".strip()),
            figures.text(since(part.spell.from_on, part.spell.from_is_exact)),
            figures.text(age((scene.until_on - part.spell.from_on).days, part.spell.from_is_exact)),
            figures.text(reason_of(scene, part.reason)),
            figures.text(part.stopgap.get_kind_display() if part.stopgap else ""),
        ]
        for part in parts_on(scene.place, scene.until_on)
    ]
    return Table(
        "stations",
        "",
        [_("Station"), _("Since"), _("Days"), _("Reason"), _("What stands in")],
        rows,
        [],
        _("No station was off central control."),
    )
