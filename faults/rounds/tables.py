"""The table of rounds."""

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from faults.models import Round
from faults.rounds.services.words import repeats_words
from sites.kernel.links import page_of
from sites.kernel.tables import LEAD, PLAIN, RIGHT, DayColumn, SheetTable


class RoundTable(SheetTable):
    """Rounds, those that have ended too."""

    name = tables.Column(verbose_name=_("Round"), attrs=LEAD)
    purpose = tables.Column(verbose_name=_("What for"), attrs=PLAIN)
    place_total = tables.Column(verbose_name=_("Properties"), attrs=RIGHT)
    repeats = tables.Column(
        verbose_name=_("Comes back"), accessor="pk", orderable=False, attrs=PLAIN
    )
    crew = tables.Column(verbose_name=_("Who"), attrs=PLAIN, order_by="crew__name")
    has_open = tables.Column(verbose_name=_("Now"), attrs=PLAIN)
    ended_on = DayColumn(verbose_name=_("Ended on"))

    class Meta(SheetTable.Meta):
        order_by = ("name",)

    def render_name(self, record: Round) -> SafeString:
        """Link the round."""
        return format_html('<a href="{}">{}</a>', page_of("faults:round", record.ref), record)

    def render_purpose(self, record: Round) -> str:
        """Translate the word."""
        return capfirst(str(record.get_purpose_display()))

    def render_repeats(self, record: Round) -> str:
        """Say when it comes back."""
        return repeats_words(record)

    def render_has_open(self, value: bool) -> str:
        """Say whether a visit of it is open."""
        return str(_("under way") if value else _("nothing open"))
