"""All properties of a client in one report: first side by side, then each for itself."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from reports.issued.queries import faults_between, parts_between
from reports.issued.services.asking import Asked, Scene
from reports.issued.services.faults_part import fault_sections
from reports.issued.services.off_part import chart_blocks, counts_of, off_sections
from reports.issued.services.water_part import water_sections
from sites.documents.engines import figures
from sites.documents.engines.document import Block, Figure, Section, Table
from sites.models import Property
from sites.runs.services import Progress

ONE_DAY = timedelta(days=1)


def client_sections(
    asked: Asked, places: Sequence[Property], at: datetime, progress: Progress
) -> list[Section]:
    """Return the parts of a report on all properties of a client."""
    first: list[Block] = [_side_by_side(asked, places, at)]
    first += chart_blocks(places, asked.from_on, asked.until_on)
    sections = [Section("all", _("All properties"), first)]
    for number, place in enumerate(places):
        progress.say(_("Putting the report together"), number, len(places))
        scene = Scene(asked, place, at)
        sections.append(Section(f"place {place.pk}", str(place), []))
        for part in (off_sections, fault_sections, water_sections):
            sections += [_of_place(section, place) for section in part(scene, 2)]
    return sections


def _of_place(section: Section, place: Property) -> Section:
    return replace(section, key=f"{section.key} {place.pk}", level=2)


def _side_by_side(asked: Asked, places: Sequence[Property], at: datetime) -> Table:
    headings = [
        _("Property"),
        _("At the start"),
        _("Began"),
        _("Ended"),
        _("At the end"),
        _("Faults open in this time"),
    ]
    rows = [_row(Scene(asked, place, at)) for place in places]
    sums = [sum(row[at].number or 0 for row in rows) for at in range(1, len(headings))]
    total = [figures.text(_("All")), *(figures.count(int(each)) for each in sums)]
    empty = _("No property is registered for this client.")
    return Table("properties", "", headings, [*rows, total] if rows else [], [1, 2, 3, 4, 5], empty)


def _row(scene: Scene) -> list[Figure]:
    counts = counts_of(scene, parts_between(scene.place, scene.from_on, scene.until_on))
    columns = (counts.at_start, counts.came, counts.ended, counts.at_end)
    return [
        figures.text(scene.place),
        *(figures.count(each.total()) for each in columns),
        figures.count(len(faults_between(scene.place, scene.from_on, scene.until_on))),
    ]
