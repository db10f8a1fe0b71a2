"""Goals for the share off central, as they stand on the day on which a report is made."""

from collections.abc import Sequence
from datetime import date

from django.utils.translation import gettext as _

from reports.goals.services.standing import Standing, now_at
from sites.documents.engines import figures
from sites.documents.engines.document import Section, Table
from sites.models import Property


def goal_sections(places: Sequence[Property], *, is_all: bool, today: date) -> list[Section]:
    """Return the part on goals; none where none stands.

    Of how many stations is known for today alone, so it is of the day of the report. The path is
    that of the forecast that is kept.
    """
    rows = [
        [
            figures.text(one.goal.property or _("all properties")),
            figures.text(one.aim),
            figures.text(one.now),
            figures.text(_reached(one)),
            figures.text(one.path(today)),
        ]
        for one in now_at(places, is_all=is_all)
    ]
    if not rows:
        return []
    headings = [_("For"), _("Goal"), _("Off central now"), _("Reached"), _("Path")]
    table = Table("goals", "", headings, rows, [], "")
    return [Section("goals", _("Goals"), [table], is_now=True)]


def _reached(one: Standing) -> str:
    if one.share is None:
        return _("not known")
    return _("yes") if one.is_reached else _("no")
