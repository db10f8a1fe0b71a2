"""Note something to do: at a property, at a station, at a fault."""

from django.db.models import Model
from django.utils.translation import gettext_lazy as _

from faults.cases.views.common import FaultView
from faults.due.forms import NoteForm
from faults.due.services.by_hand import raise_by_hand
from faults.models import Fault
from sites.kernel.views.verb_help import PropertyView, Row, StationView
from sites.kernel.views.verb_views import Text, VerbView
from sites.models import Property, Station

# As long as a note may be.
LONGEST_OFFERED = 200


class _NoteView(VerbView[Row]):
    verb = raise_by_hand
    form_class = NoteForm
    button = _("Note it")
    lead = _("It shows under Due, and in calendars, until somebody has done it.")

    def get_heading(self) -> Text:
        return _("Note something to do: %s") % str(self.get_crumbs()[-1][1])

    def get_initial(self) -> dict[str, object]:
        return {"what": self.request.GET.get("what", "")[:LONGEST_OFFERED]}

    def get_watched(self) -> list[Model]:
        return []

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        return {**super().arguments(data), "place": self.get_place()}

    def get_done(self) -> Text:
        words = {"day": self.result.due_on.isoformat(), "what": self.result.what}
        return str(_("Noted for %(day)s: %(what)s.") % words)


class DueNoteAtProperty(_NoteView[Property], PropertyView):
    """Note something to do at a property."""


class DueNoteAtStation(_NoteView[Station], StationView):
    """Note something to do at a station."""


class DueNoteAtFault(_NoteView[Fault], FaultView):
    """Note something to do about a fault."""
