"""Columns for the size of a wire, and for several names in one cell."""

import re
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from sites.cells.engines.numbers import COMMA, POINT, tidy
from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Column, Manner, plain_text
from sites.cells.services.refusals import Unreadable
from sites.cells.services.shown import Cell as Shown
from sites.cells.services.shown import names

_GAUGE = re.compile(r"#?\s*(\d{1,2})\s*(?:awg|ga|gauge|g)?(?:\s*awg)?", re.IGNORECASE)
_SQUARE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:mm2|mm²|sqmm|sq mm|mm\^2)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Size(Column):
    """A wire's size, kept as "14 AWG" or "2.5 mm2"; other words stay as they are."""

    empty: Any = ""

    def read(self, cell: Cell, manner: Manner, unit: str) -> str:
        """Return the size in one of the two ways of writing."""
        text = plain_text(cell)
        if found := _SQUARE.fullmatch(text):
            return f"{float(found[1].replace(COMMA, POINT)):g} mm2"
        bare = text.replace(COMMA, POINT)
        if "mm" in unit and re.fullmatch(r"\d+(\.\d+)?", bare):
            return f"{float(bare):g} mm2"
        if found := _GAUGE.fullmatch(text):
            return f"{int(found[1])} AWG"
        if len(text) > 16:
            raise Unreadable(_("This is no wire size. Write for example 14 AWG or 2.5 mm2."))
        return text

    def unit_for(self, heading_unit: str, system: str) -> str:
        """Heading first, then the property's system."""
        return heading_unit or ("mm2" if system == "metric" else "AWG")


@dataclass(frozen=True, slots=True)
class Names(Column):
    """Several names in one cell, separated by ; or by line ends."""

    def read(self, cell: Cell, manner: Manner, unit: str) -> list[str]:
        """Return the names in order, each once."""
        pieces = re.split(r"[;\n]", plain_text(cell, keep_lines=True))
        if len(pieces) == 1:
            pieces = pieces[0].split(",")
        return list(dict.fromkeys(filter(None, map(tidy, pieces))))

    def cell(self, value: Any) -> Shown:
        """Joined so that each is read back."""
        return names(value)

    def show(self, value: Any, unit: str) -> str:
        """Joined as the file writes them."""
        return "; ".join(value or ())
