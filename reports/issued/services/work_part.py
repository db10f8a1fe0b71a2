"""What goes on when a report is made: what waits on whom, what falls due, the plan."""

from collections.abc import Sequence
from datetime import timedelta

from django.utils.translation import gettext as _

from faults.due.services.words import sentence
from faults.models import FollowUp, FollowUpKind, Wait
from faults.templatetags.waits import days_words, mover_word, waits_word
from faults.waits.queries.moves import MoveGroup, grouped, groups_of
from reports.issued.services.asking import Scene
from reports.issued.services.plan_part import plan_blocks
from reports.off_central.services.plain import NEXT
from sites.documents.engines import figures
from sites.documents.engines.document import Figure, Section, Table
from sites.models import today_at

AHEAD = timedelta(days=92)
MOST_GROUPS, MOST_DUE = 200, 200
# What a client is told of: what is done at its property, and not how we keep it in mind.
FOR_CLIENTS = (
    FollowUpKind.BATTERY,
    FollowUpKind.RETEST_FIRST,
    FollowUpKind.RETEST_SECOND,
    FollowUpKind.SETTLE,
    FollowUpKind.CHECK_UP,
)


def work_sections(scene: Scene, level: int = 1) -> list[Section]:
    """Return the parts that say how things stand on the day that the report is made."""
    today = today_at(scene.place, scene.at)
    heading = _("What waits on whom, on %s") % today
    sections = [
        Section("waits", heading, [_waits(scene)], level, is_now=True),
        Section("due", _("What falls due"), [_due(scene)], level, is_now=True),
    ]
    if blocks := plan_blocks(scene):
        sections.append(Section("plan", _("Site plan"), blocks, level, is_now=True))
    return sections


def _waits(scene: Scene) -> Table:
    waits = Wait.objects.filter(station__controller__property=scene.place)
    groups = groups_of(waits, list(grouped(waits)[:MOST_GROUPS]))
    is_for_client = scene.asked.is_for_client
    return Table(
        "waits",
        "",
        [_("Whose move"), _("What happens next") if is_for_client else _("Waits on"),
         _("Stations"), _("How many"), _("Since")],
        [_wait(group, is_for_client) for group in groups],
        [3],
        _("Nothing waits: no station is off central control."),
    )  # fmt: skip


def _wait(group: MoveGroup, is_for_client: bool) -> list[Figure]:
    """To a client in plain words, and without the day of a visit, which still may move."""
    names = ", ".join(str(station) for station in group.stations)
    more = " " + _("and %s more") % group.more if group.more else ""
    what = str(NEXT[group.waits_on]) if is_for_client else waits_word(group.waits_on)
    return [
        figures.text(mover_word(group.mover, not is_for_client)),
        figures.text(what),
        figures.text(names + more),
        figures.count(group.count),
        figures.text(days_words(group.since, None if is_for_client else group.until)),
    ]


def _due(scene: Scene) -> Table:
    today = today_at(scene.place, scene.at)
    rows: Sequence[FollowUp] = list(
        FollowUp.objects.open()
        .filter(property=scene.place, due_on__lte=today + AHEAD)
        .filter(**({"kind__in": FOR_CLIENTS} if scene.asked.is_for_client else {}))
        .select_related("station__controller", "controller", "device", "fault", "job", "notice")
        .order_by("due_on", "pk")[:MOST_DUE]
    )
    return Table(
        "due",
        _("Overdue, or due within three months"),
        [_("Due on"), _("What")],
        [[figures.day(row.due_on), figures.text(sentence(row))] for row in rows],
        [],
        _("Nothing falls due."),
    )
