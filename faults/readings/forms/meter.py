"""A value as the meter shows it."""

import re
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from faults.models import ReadingKind

OPEN_WORDS = {"ol", "o.l", "o.l.", "open", "inf", "∞", "o/l"}
# What a meter shows as OL is written down as more than any wire reads.
OPEN_OHMS = 9_999_999.0
# Ohms and volts are kept as such, insulation in megohms: 500k there is half a megohm.
MULTIPLES = {
    ReadingKind.OHMS: {"": 1.0, "k": 1e3, "m": 1e6},
    ReadingKind.LOOP: {"": 1.0, "k": 1e3, "m": 1e6},
    ReadingKind.VOLTS: {"": 1.0},
    ReadingKind.INSULATION: {"": 1.0, "k": 1e-3, "m": 1.0, "g": 1e3},
}
_UNITS = re.compile(r"(ohms?|ω|volts?|vac|v)$")
_NUMBER = re.compile(r"[>≥]?\s*(\d+(?:[.,]\d+)?)\s*([kmg]?)")
# 1,200 is twelve hundred to one reader and a little more than one to another.
_THOUSANDS = re.compile(r"\d,\d{3}(?!\d)")


class NotOnAMeter(ValueError):
    """The words are no value of that kind; the message says what to type."""


def parse_value(words: str, kind: str) -> float:
    """Return what a meter shows: "26.4", "26,4", "1.2k", or "OL" for open.

    Raises:
        NotOnAMeter: it is no number of 0 or more.
    """
    text = words.strip().lower()
    if text in OPEN_WORDS and kind != ReadingKind.VOLTS:
        return OPEN_OHMS
    if _THOUSANDS.search(text):
        raise NotOnAMeter(
            _("“%s” can be read in two ways. Type it without the comma, as 1200 or 1.2.") % words
        )
    found = _NUMBER.fullmatch(_UNITS.sub("", text).strip())
    multiple = MULTIPLES[ReadingKind(kind)].get(found[2]) if found else None
    if found is None or multiple is None:
        raise NotOnAMeter(_not_shown(words, kind))
    return float(found[1].replace(",", ".")) * multiple


def _not_shown(words: str, kind: str) -> str:
    if kind == ReadingKind.VOLTS:
        return _("“%s” is not what a meter shows. Type a number of volts.") % words
    return _("“%s” is not what a meter shows. Type a number, or OL for open.") % words


class MeterField(forms.CharField):
    """A value as a meter shows it, in a cell whose kind is known."""

    def __init__(self, *, kind: str, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.kind = kind

    def to_python(self, value: object) -> Any:
        """Return a number, or None for nothing typed."""
        words = super().to_python(value)
        if not words:
            return None
        try:
            return parse_value(words, self.kind)
        except NotOnAMeter as refusal:
            raise forms.ValidationError(str(refusal)) from None
