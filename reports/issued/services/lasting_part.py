"""How long stations stay off central control, from all times until the last day of the period."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from reports.issued.services.asking import Scene
from reports.lasting.services.words import (
    DIMENSIONS,
    at_days,
    compared_words,
    days_words,
    ending_words,
    group_words,
    mean_words,
    median_words,
)
from reports.lasting.services.working_out import CREW, worked_out
from sites.cells.services.shown import share_text
from sites.documents.charts.steps import share_steps
from sites.documents.engines import figures
from sites.documents.engines.document import Block, Drawing, Facts, Paragraph, Section, Table
from sites.models import Property
from sites.runs.services import Silent, UnableToFinish

SHOWN_DAYS = (30, 90, 180, 365, 730, 1095)


def lasting_section(scene: Scene, places: Sequence[Property]) -> Section:
    """Return what the page of lasting says, as of the last day.

    Crews are left out: they get unlike faults, and on paper the page's caution would soon be lost.
    """
    keys = [place.pk for place in places]
    try:
        found = worked_out(Silent(), places=keys, today=scene.until_on)
    except UnableToFinish as none:
        return Section("lasting", _("How long stopgaps last"), [Paragraph(str(none))])
    blocks = _every(found) if found["all"] else [Paragraph(_too_few())]
    for by in found["by"]:
        if by["name"] != CREW and len(by["groups"]) > 1:
            blocks.append(_groups(by))
    return Section("lasting", _("How long stopgaps last"), blocks)


def _too_few() -> str:
    return _("Too few times off are known to draw a curve: at least five have to be seen at once.")


def _every(found: Mapping[str, Any]) -> list[Block]:
    kept = found["all"]
    rows = [
        (_("Times off"), figures.count(found["times"])),
        (_("Still going on"), figures.count(found["open"])),
        (_("Half are over after"), figures.text(median_words(kept))),
        (_("Mean"), figures.text(mean_words(kept))),
    ]
    if kept["from_day"]:
        rows.insert(2, (_("Counted from day"), figures.count(round(kept["from_day"]))))
    title = _("What share is still off after so many days")
    drawing = Drawing(
        share_steps(
            [(day, share, low, high) for day, _risk, share, low, high in kept["steps"]],
            start=kept["from_day"],
            until=kept["until"],
        ),
        title,
        title,
    )
    lasts = [
        [figures.count(day), figures.count(risk), figures.text(share), figures.text(limits)]
        for day, risk, share, limits in at_days(kept, SHOWN_DAYS)
    ]
    headings = [_("Day"), _("At risk"), _("Still off"), _("95 % limits")]
    return [
        Facts("lasting", rows),
        drawing,
        Table("by day", _("The numbers of the chart"), headings, lasts, [0, 1, 2, 3],
              _("Nobody has watched long enough yet.")),
        _endings(kept),
        *_left_out(found),
    ]  # fmt: skip


def _endings(kept: Mapping[str, Any]) -> Table:
    """How times ended: with those that go on these shares make up 100 %."""
    lines = sorted(kept["endings"].items(), key=lambda each: -each[1][-1][1])
    rows = [
        [figures.text(ending_words(name)), figures.text(share_text(line[-1][1]))]
        for name, line in lines
    ]
    headings = [_("How"), _("Share")]
    return Table("endings", _("How they ended"), headings, rows, [1], _("None has ended yet."))


def _left_out(found: Mapping[str, Any]) -> list[Block]:
    words = []
    if found["windows"]:
        early, late = (days_words(each) for each in found["median_band"])
        words.append(
            _(
                "With all starts as early as can be half are over after %(early)s, "
                "as late as can be after %(late)s."
            )
            % {"early": early, "late": late}
        )
    if n := found["unknown_start"]:
        words.append(
            ngettext(
                "One time was left out: nobody knows when it can have begun.",
                "%(n)s times were left out: nobody knows when they can have begun.",
                n,
            )
            % {"n": n}
        )
    if n := found["over_before_seen"]:
        words.append(
            ngettext(
                "One time was left out: it was over before records began.",
                "%(n)s times were left out: they were over before records began.",
                n,
            )
            % {"n": n}
        )
    return [Paragraph(" ".join(words), "soft")] if words else []


def _groups(by: Mapping[str, Any]) -> Table:
    rows = [
        [
            figures.text(group_words(by["name"], each["name"])),
            figures.count(each["times"]),
            figures.count(each["times"] - each["ended"]),
            figures.text(median_words(each)),
            figures.text(mean_words(each)),
        ]
        for each in by["groups"]
    ]
    headings = [
        _("Group"),
        _("Times off"),
        _("Still going on"),
        _("Half are over after"),
        _("Mean"),
    ]
    caption = f"{DIMENSIONS[by['name']]}. {compared_words(by)}"
    return Table(by["name"], caption, headings, rows, [1, 2])
