"""What it is called to do nothing: from what stands in at the fault's stations."""

from collections.abc import Iterable
from datetime import date

from django.utils.translation import gettext_lazy as _

from faults.models import CLOSED_STAGES, OPTION_CHOICES, Fault, Quote, QuoteOption
from faults.quotes.engines.quoting import OptionKind
from sites.models import Stopgap, StopgapKind

# The name under which a quote keeps what stood in when it was made.
STAYS = "stays"
OPTION_WORDS = dict(OPTION_CHOICES)

_STAYS_WORDS = {
    StopgapKind.BATTERY_TIMER.value: OPTION_WORDS[OptionKind.TIMER.value],
    StopgapKind.BY_HAND.value: _("leave it watered by hand"),
    StopgapKind.SHUT_OFF.value: _("leave it shut off"),
    StopgapKind.HELD_OPEN.value: _("leave it held open"),
}


def what_stands(fault: Fault, *, today: date) -> list[str]:
    """Return the kinds of stopgap at the stations that are not done, each once; "" = none."""
    stations = set(
        fault.stations.exclude(stage__in=CLOSED_STAGES).values_list("station", flat=True)
    )
    rows = Stopgap.objects.filter(station__in=stations).standing_on(today).off_central()
    pairs = list(rows.values_list("station", "kind"))
    without = stations - {station for station, _kind in pairs}
    return sorted({kind for _station, kind in pairs} | ({""} if without else set()))


def stays_words(kinds: Iterable[str]) -> str:
    """Return what doing nothing is called; several kinds, or none, are left as they are."""
    found = list(kinds)
    one = found[0] if len(found) == 1 else ""
    return str(_STAYS_WORDS.get(one, _("leave it as it is")))


def kept_kinds(quote: Quote) -> list[str] | None:
    """Return what stood in when the quote was made; None = it was not kept."""
    kept = [values for name, values in quote.assumptions if name == STAYS]
    return list(kept[0]["kinds"]) if kept else None


def option_words(option: QuoteOption) -> str:
    """Return the name of an option for people, as it was when the quote was made."""
    if option.kind == OptionKind.TIMER:
        kinds = kept_kinds(option.quote)
        if kinds is not None:
            return stays_words(kinds)
    return str(option.get_kind_display())
