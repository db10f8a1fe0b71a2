"""The sheet of missing facts as a form: a field for each cell, read as its own form reads it."""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy

from sites.cells.engines.plain_words import same_name
from sites.cells.services.refusals import Unreadable
from sites.models import Property, Station
from sites.water.forms.fact_cells import Readers
from sites.water.queries.fact_sheet import COLUMNS, FactRow
from sites.water.services.fact_sheet import Answer, cell_name

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

NEVER = gettext_lazy("never written down")
_NEVER_TOO = {"never", "never written down", "nunca", "nunca se anotó", "nunca se anoto"}

LABELS: "dict[str, _StrPromise]" = {
    "area_sqft": gettext_lazy("Area"),
    "flow_gpm": gettext_lazy("Flow"),
    "plant_factor": gettext_lazy("Plant factor"),
    "efficiency": gettext_lazy("Efficiency"),
    "minutes": gettext_lazy("Minutes"),
    "days": gettext_lazy("Days"),
    "starts": gettext_lazy("Starts"),
    "run_length_ft": gettext_lazy("Run from controller to valve"),
    "coil_ohms": gettext_lazy("Coil, ohms"),
    "second_coil_ohms": gettext_lazy("Second coil on the same wire, ohms"),
    "depends_on": gettext_lazy("Depends on"),
    "main_valve": gettext_lazy("How that opens"),
    "battery_changed_on": gettext_lazy("Batteries changed"),
    "battery_kind": gettext_lazy("Battery kind"),
}


class FactSheetForm(forms.Form):
    """A text field for each cell that is missing, or in which something was sent."""

    def __init__(
        self,
        data: Any,
        *,
        place: Property,
        rows: Sequence[FactRow],
        mains: Sequence[Station],
        today: date,
    ) -> None:
        super().__init__(data)
        self.rows = rows
        self.cells: dict[tuple[str, str], object] = {}
        self.readers = Readers(place, mains, today)
        for row in rows:
            for column in COLUMNS:
                name = cell_name(row.station.ref, column)
                # A cell that somebody has filled in meanwhile keeps what was typed into it.
                if row.is_asked(column) or (data or {}).get(name, "").strip():
                    self.fields[name] = forms.CharField(
                        label=f"{LABELS[column]}, {row.station}",
                        required=False,
                        max_length=120,
                        initial=str(NEVER) if column in row.never else "",
                    )

    def clean(self) -> dict[str, Any]:
        """Read each cell; every one that cannot be read is named."""
        data = super().clean() or {}
        for row in self.rows:
            for column in COLUMNS:
                name = cell_name(row.station.ref, column)
                if name in data:
                    self._read(name, data[name], row, column)
        return data

    def _read(self, name: str, text: str, row: FactRow, column: str) -> None:
        is_never = same_name(text) in {*_NEVER_TOO, same_name(str(NEVER))}
        key = (row.station.ref, column)
        if is_never and column not in row.never:
            self.cells[key] = Answer.NEVER
        elif not text and column in row.never:
            self.cells[key] = Answer.ASK_AGAIN
        elif text and not is_never:
            try:
                self.cells[key] = self.readers.read(column, text)
            except (Unreadable, ValidationError) as refusal:
                words = refusal.messages if isinstance(refusal, ValidationError) else [str(refusal)]
                self.add_error(name, " ".join(words))
