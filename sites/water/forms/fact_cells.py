"""How a cell of the sheet of missing facts is read: as files are, within its own form's limits."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from sites.cells.engines.days import order_shown
from sites.cells.engines.measures import FACTOR, LENGTH, MINUTES, OHMS, SHARE, number_part
from sites.cells.engines.numbers import decimal_mark
from sites.cells.engines.plain_words import same_name
from sites.cells.services.columns import Column, Manner, Measure, Text
from sites.cells.services.day_columns import Day
from sites.cells.services.refusals import Unreadable
from sites.cells.services.timetable import Days, Starts
from sites.kernel.forms.fields import MeasureField
from sites.models import MainValve, Property, Station
from sites.register.forms.stations import ScheduleForm, StationFactsForm, StationForm
from sites.stopgaps.forms.stopgaps import BatteryForm

# Fields of numbers that have a unit without the property's choice.
_PLAIN = {
    "plant_factor": FACTOR,
    "efficiency": SHARE,
    "minutes": MINUTES,
    **dict.fromkeys(("coil_ohms", "second_coil_ohms"), OHMS),
}


class Readers:
    """Turns the text of a cell into a value in the stored unit, by column."""

    def __init__(self, place: Property, mains: Sequence[Station], today: date) -> None:
        self._place, self._today = place, today
        self._mains = {
            same_name(words): each for each in mains for words in (each.name, str(each)) if words
        }
        self._fields: dict[str, Any] = {
            **ScheduleForm.base_fields,
            **StationForm.base_fields,
            "run_length_ft": MeasureField("", LENGTH, place),
            **StationFactsForm(place=place, row=None).fields,
            "battery_kind": BatteryForm.base_fields["kind"],
        }

    def read(self, column: str, text: str) -> object:
        """Return the value.

        Raises:
            Unreadable, ValidationError: in words that say how to write it.
        """
        if column == "depends_on":
            return self._main(text)
        if column == "main_valve":
            return _how_it_opens(text)
        if column == "battery_changed_on":
            return self._day(text)
        reader = self._column(column)
        if isinstance(reader, Measure) and decimal_mark(number_part(text)) == "?":
            raise Unreadable(
                _("This can be read in two ways. Write it without the mark, or with two decimals.")
            )
        return reader.read(text, Manner(self._today), reader.unit_for("", self._place.units))

    def unit(self, column: str) -> str:
        """Return the unit of a number that is written without one; empty where there is none."""
        field = self._fields.get(column)
        return field.unit if isinstance(field, MeasureField) else ""

    def shown(self, column: str, value: object) -> str:
        """Return in words what is known of a column."""
        if value in (None, ""):
            return ""
        if column == "main_valve":
            return str(dict(MainValve.choices).get(str(value), value))
        field = self._fields.get(column)
        if isinstance(field, MeasureField):
            return str(field.prepare_value(value))
        return f"{value:g}" if isinstance(value, float) else str(value)

    def _column(self, name: str) -> Column:
        field = self._fields[name]
        if name in ("days", "starts"):
            made = Days if name == "days" else Starts
            return made(name, longest=field.max_length)
        if isinstance(field, MeasureField):
            return Measure(name, dimension=field.dimension)
        if isinstance(field, forms.FloatField):
            least, most = field.min_value, field.max_value
            return Measure(name, dimension=_PLAIN[name], least=least, most=most)
        return Text(name, longest=field.max_length)

    def _main(self, text: str) -> Station:
        found = self._mains.get(same_name(text))
        if found is None:
            names = ", ".join(str(each) for each in dict.fromkeys(self._mains.values()))
            raise Unreadable(_("There is no such master valve or pump. Write one of: %s.") % names)
        return found

    def _day(self, text: str) -> date:
        order = order_shown(text)
        if order == "?":
            raise Unreadable(_("This is a day in two ways. Write it as 2025-03-04."))
        return Day("day").read(text, Manner(self._today, order=order), "")


def _how_it_opens(text: str) -> str:
    words = {same_name(word): each.value for each in MainValve for word in (each.value, each.label)}
    if (found := words.get(same_name(text))) is None:
        known = "; ".join(str(each.label) for each in MainValve)
        raise Unreadable(_("This is none of the ways. Write one of: %s.") % known)
    return found
