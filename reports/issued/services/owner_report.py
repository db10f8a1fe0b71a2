"""The owner's quarter: how many are off, how long, promises kept, hotspots, decisions."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.cases.services.man_hours import day_of, visits_made
from faults.models import Fault, Job
from reports.decisions.services.looking_back import looked_back
from reports.hotspots.services.ranking import look
from reports.hotspots.services.scope import Scope
from reports.hotspots.services.words import headline, power_words
from reports.issued.services.asking import Asked, Scene
from reports.issued.services.goals_part import goal_sections
from reports.issued.services.lasting_part import lasting_section
from reports.issued.services.off_part import ONE_DAY, chart_blocks, off_on
from reports.models import Decision
from reports.off_central.queries import groups_of, in_the_ratio_of
from sites.documents.engines import figures
from sites.documents.engines.document import Block, Facts, Figure, Paragraph, Section, Table
from sites.models import Property, today_at
from sites.runs.services import Progress

MOST_PROPERTIES, MOST_LEGS = 40, 15


def owner_sections(
    asked: Asked, places: Sequence[Property], at: datetime, progress: Progress
) -> list[Section]:
    """Return the parts of the owner's report."""
    if not places:
        return [Section("off central", _("Off central control"), [Paragraph(_("No property."))])]
    scene = Scene(asked, places[0], at)
    parts = (_off, _today, lasting_section, _promises, _hotspots, _decisions)
    sections = []
    for number, part in enumerate(parts):
        progress.say(_("Putting the report together"), number, len(parts))
        sections.append(part(scene, places))
    return sections + goal_sections(places, is_all=True, today=today_at(places[0], at))


def _off(scene: Scene, places: Sequence[Property]) -> Section:
    first, last = scene.from_on - ONE_DAY, scene.until_on
    start, end = off_on(places, first).total(), off_on(places, last).total()
    rows = [
        (_("Off at the end of %s") % first, figures.count(start)),
        (_("Off at the end of %s") % last, figures.count(end)),
    ]
    blocks: list[Block] = [Facts("totals", rows), *chart_blocks(places, scene.from_on, last)]
    return Section("off central", _("Off central control"), [*blocks, _worst(scene, places)])


def _today(scene: Scene, places: Sequence[Property]) -> Section:
    """The ratio: of how many stations is known for today alone."""
    keys = [place.pk for place in places]
    every = sum(in_the_ratio_of(keys).values())
    off = sum(group.count for group in groups_of(keys))
    share = figures.amount(100 * (every - off) / every, decimals=1, unit="%") if every else None
    rows = [
        (_("Meant for central control"), figures.count(every)),
        (_("Of these off central control"), figures.count(off)),
        (_("On central control"), share or Figure(_("not known"))),
    ]
    heading = _("Today, %s") % today_at(scene.place, scene.at)
    return Section("today", heading, [Facts("ratio", rows)], is_now=True)


def _worst(scene: Scene, places: Sequence[Property]) -> Table:
    """The properties with the most off at the end; of how many is known for today alone."""
    keys = [place.pk for place in places]
    is_today = scene.until_on == today_at(scene.place, scene.at)
    totals = in_the_ratio_of(keys) if is_today else {}
    counts: dict[int, int] = {}
    for group in groups_of(keys, scene.until_on):
        counts[group.property_id] = counts.get(group.property_id, 0) + group.count
    by_key = {place.pk: place for place in places}
    worst = sorted(counts, key=lambda key: (-counts[key], by_key[key].code))[:MOST_PROPERTIES]
    rows = [
        [
            figures.text(by_key[key]),
            figures.count(counts[key]),
            *([figures.count(totals.get(key, 0))] if is_today else []),
        ]
        for key in worst
    ]
    headings = [_("Property"), _("Off at the end"), *([_("Stations")] if is_today else [])]
    empty = _("No station was off central control.")
    caption = _("By property, the most first")
    return Table("properties", caption, headings, rows, list(range(1, len(headings))), empty)


def _promised(fault: Fault) -> Figure:
    """The promised day, with its times where any were promised."""
    hours = fault.promised_hours()
    if fault.promised_on is None or not hours:
        return figures.day(fault.promised_on)
    return figures.text(f"{fault.promised_on.isoformat()}, {hours}")


def _is_kept(fault: Fault, first: Job | None) -> bool:
    """Whether the first visit began by the promised day, or on it and between its times."""
    if first is None or fault.promised_on is None or first.started_at is None:
        return False
    day = day_of(first)
    since, until = fault.promised_from, fault.promised_until
    if since is None or until is None:
        return day <= fault.promised_on
    zone = ZoneInfo(fault.property.time_zone)
    began = first.started_at.astimezone(zone).time().replace(second=0, microsecond=0)
    return day == fault.promised_on and since <= began <= until


def _promises(scene: Scene, places: Sequence[Property]) -> Section:
    """Whether somebody came by the day that the client was told."""
    period = (scene.from_on, scene.until_on)
    faults = list(
        Fault.objects.filter(property__in=places, promised_on__range=period)
        .select_related("property")
        .order_by("promised_on", "pk")
    )
    visits, _members = visits_made([fault.pk for fault in faults], at=scene.at)
    first: dict[int, Job] = {}
    for job in sorted(visits, key=lambda job: (day_of(job), job.started_at or scene.at, job.pk)):
        first.setdefault(job.fault_id or 0, job)
    came = {fault.pk: day_of(first[fault.pk]) if fault.pk in first else None for fault in faults}
    kept = sum(_is_kept(each, first.get(each.pk)) for each in faults)
    rows = [
        [
            figures.text(f"{fault.property.code}: {fault}"),
            _promised(fault),
            figures.day(came[fault.pk], _("nobody came yet")),
        ]
        for fault in faults
    ]
    words = ngettext(
        "%(kept)s of %(n)s promise was kept.", "%(kept)s of %(n)s promises were kept.", len(faults)
    ) % {"kept": kept, "n": len(faults)}
    empty = _("Nothing was promised for this time.")
    headings = [_("Fault"), _("Promised by"), _("First visit")]
    table = Table("promises", "", headings, rows, [], empty)
    blocks: list[Block] = [Paragraph(words), table] if faults else [table]
    return Section("promises", _("Promises kept"), blocks)


def _hotspots(scene: Scene, places: Sequence[Property]) -> Section:
    """Legs that fail more than chance makes them, from all that is known until the last day."""
    view = look(places, Scope(to_on=scene.until_on + ONE_DAY))
    rows = [
        [
            figures.text(row.place.code),
            figures.text(row.name),
            figures.count(row.located),
            figures.amount(row.ratio, decimals=1),
        ]
        for row in list(view.rows[: min(view.flagged_count, MOST_LEGS)])
    ]
    headings = [_("Property"), _("Leg"), _("Faults located"), _("Times as many as expected")]
    blocks: list[Block] = [
        Paragraph(headline(view) + "."),
        Table("legs", "", headings, rows, [2, 3], power_words(view)),
    ]
    return Section("hotspots", _("Hotspots"), blocks, is_now=True)


def _decisions(scene: Scene, places: Sequence[Property]) -> Section:
    rows = Decision.objects.filter(
        leg__property__in=places, decided_on__range=(scene.from_on, scene.until_on)
    )
    related = ("leg__property", "leg__from_point", "leg__to_point", "decided_by")
    decided = rows.select_related(*related).order_by("decided_on", "pk")
    lines = [
        [
            figures.day(each.decision.decided_on),
            figures.text(f"{each.decision.leg.property.code}: {each.decision.leg}"),
            figures.text(each.decision.get_choice_display()),
            figures.text(each.decision.why),
            Figure(_taken_back(each.decision) or each.words),
        ]
        for each in looked_back(list(decided))
    ]
    headings = [_("Decided on"), _("Leg"), _("Decided"), _("Why"), _("What came of it")]
    table = Table("decisions", "", headings, lines, [], _("Nothing was decided in this time."))
    return Section("decisions", _("Decisions"), [table], is_now=True)


def _taken_back(decision: Decision) -> str:
    if decision.taken_back_on is None:
        return ""
    return _("Taken back on %s.") % decision.taken_back_on.isoformat()
