"""An answer as its page, its files and its picture show it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from reports.returning.engines.effort import Step
from reports.returning.services.asking import Asked
from reports.returning.services.words import (
    STEP_WORDS,
    as_day,
    hours_words,
    inside_words,
    outside_words,
    saves_words,
    unknown_words,
    worth_words,
)
from sites.cells.services.writing import Written
from sites.models import Property, Run

# So many rows of what is not known are open; the rest is one click away.
FIRST = 8


@dataclass(frozen=True)
class Row:
    """One station of an answer, in words."""

    kept: Mapping[str, Any]
    step: str
    worth: str
    saves: str
    why: str
    own: str
    back_on: date | None
    promised_on: date | None

    @property
    def chance_percent(self) -> int | None:
        """How likely its wire is sound, where its loop is to be read first."""
        chance: float | None = self.kept["chance"]
        return None if chance is None else round(100 * chance)

    @property
    def takes_crew(self) -> bool:
        """Whether a visit can be planned for it."""
        return bool(self.kept["kind"])


@dataclass(frozen=True)
class Shown:
    """The answer of a run."""

    run: Run
    asked: Asked
    unit: str
    inside: list[Row]
    outside: list[Row]
    unknown: list[Row]

    @property
    def result(self) -> Mapping[str, Any]:
        """What was kept."""
        result: Mapping[str, Any] = self.run.result
        return result

    @property
    def worth(self) -> str:
        """What the set is worth."""
        return worth_words(self.result["worth"], self.unit)

    @property
    def gap(self) -> str:
        """By how much another set could be worth more."""
        gap = self.result["gap"]
        return _("an unknown amount") if gap is None else worth_words(gap, self.unit)

    @property
    def hours(self) -> str:
        """What the set takes."""
        return hours_words(self.result["minutes"])

    @property
    def money(self) -> str:
        """What its crew hours cost; empty where no budget was given."""
        money = self.result["money"]
        return "" if money is None else worth_words(money, self.unit)

    @property
    def unknown_first(self) -> list[Row]:
        """The few that need least."""
        return self.unknown[:FIRST]

    @property
    def unknown_rest(self) -> list[Row]:
        """All others."""
        return self.unknown[FIRST:]

    def as_written(self) -> Written:
        """Return all rows of the answer as one list."""
        headings = [_("List"), _("Station"), _("Property"), _("Fault"), _("Next step"),
                    _("Worth"), _("Unit"), _("Saves"), _("Minutes of its own"),
                    _("Back at the earliest"), _("Why")]  # fmt: skip
        return Written(_("Return first"), headings, self._lines)

    def _lines(self) -> Iterator[list[Any]]:
        for name, rows in (
            (_("in the set"), self.inside),
            (_("next"), self.outside),
            (_("not known"), self.unknown),
        ):
            for row in rows:
                kept = row.kept
                yield [
                    name, kept["name"], kept["place_name"], kept["fault_name"], row.step,
                    "" if kept["worth"] is None else round(kept["worth"], 2), self.unit, row.saves,
                    round(kept["minutes"], 1), kept["back_on"], row.why,
                ]  # fmt: skip


def shown(run: Run) -> Shown:
    """Return the answer of a run that is done."""
    asked = Asked.of(run.arguments["asked"])
    result = run.result
    unit = "water" if asked.in_water else asked.currency
    refs = {row["place"] for name in ("in", "out", "unknown") for row in result[name]}
    places = {place.ref: place for place in Property.objects.filter(ref__in=refs)}

    def rows(name: str, why: Any) -> list[Row]:
        return [
            Row(
                kept=row,
                step=str(STEP_WORDS[Step(row["step"])]),
                worth=worth_words(row["worth"], unit, places.get(row["place"])),
                saves=saves_words(row, unit, places.get(row["place"])),
                why=why(row, unit, places.get(row["place"])),
                own=hours_words(row["minutes"]),
                back_on=as_day(row["back_on"]),
                promised_on=as_day(row["promised_on"]),
            )
            for row in result[name]
        ]

    return Shown(
        run,
        asked,
        unit,
        rows("in", inside_words),
        rows("out", outside_words),
        rows("unknown", unknown_words),
    )
