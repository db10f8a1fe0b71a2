"""Start a search, record and void its tests, say what is at hand, end it, take it up again."""

from functools import cached_property

from django.contrib import messages
from django.db.models import Model
from django.http import Http404
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.access import search_readings_for
from faults.cases.queries import breaks_of
from faults.locating.engines.options import Stand
from faults.locating.engines.plain import stand_from
from faults.locating.engines.plain_values import Ids, UnusablePlain
from faults.locating.forms.search_end import FinishForm, VoidTestForm
from faults.locating.forms.searches import EquipForm, SaidForm
from faults.locating.services.doing import (
    equip_search,
    finish_search,
    record_search_reading,
    reopen_search,
    start_search,
    void_search_reading,
)
from faults.locating.services.line import NoLine, SearchGround, ground_of
from faults.locating.services.numbers import assumed_now
from faults.locating.services.ohms_words import should_read_words
from faults.locating.services.remembered import tools_last_used
from faults.locating.views.search_common import (
    SLUGS,
    crumbs,
    fault_and_station,
    search_of,
    where_url,
)
from faults.models import KindOfTest, Search, SearchReading
from sites.kernel.access import SignedInRequest, find
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Property, Station


def caution() -> Text:
    """Return the usual caution at terminals and in boxes."""
    return _(
        "The mains side of the controller is for licensed electricians. Switch the station off "
        "before you cut or splice; 24 V is not safe on wet skin. Look for snakes and insects "
        "before you reach into a box."
    )


class SearchView(VerbView[Search]):
    """A verb on a search; the page leads back to where it stands."""

    takes = "search"

    def find(self) -> Search:
        return search_of(self.request, self.kwargs["ref"], self.may_do)

    def get_place(self) -> Property:
        return self.row.fault.property

    def get_named(self) -> object:
        return self.row.station

    def get_back(self) -> str:
        return where_url(self.row)

    def get_crumbs(self) -> Crumbs:
        return crumbs(self.row.fault, self.row.station)


class SearchStart(VerbView[Station]):
    """Begin to look for the break on one station's wire."""

    verb = start_search
    takes = "station"
    form_class = EquipForm
    heading, button = _("Search the wire of %s"), _("Begin the search")
    done = _("The search has begun.")

    def find(self) -> Station:
        self.fault, station = fault_and_station(
            self.request, self.kwargs["ref"], self.kwargs["station"], self.may_do
        )
        return station

    def get_initial(self) -> dict[str, object]:
        return {"tools": tools_last_used(self.user), "may_cut": True}

    def get_watched(self) -> list[Model]:
        return []

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        return super().arguments({**data, "fault": self.fault})

    def get_caution(self) -> Text:
        return caution()

    def get_crumbs(self) -> Crumbs:
        return crumbs(self.fault, self.row)

    def get_back(self) -> str:
        return self.get_crumbs()[-1][0]


class SearchRecord(SearchView):
    """Record one test of a search."""

    verb = record_search_reading
    button = _("Keep this test")
    done = _("The test is kept, and the plan is recalculated.")
    template_name = "faults/searches/record.html"

    def find(self) -> Search:
        if self.kwargs["kind"] not in SLUGS:
            raise Http404
        return super().find()

    @cached_property
    def ground(self) -> SearchGround:
        """The line along which is searched."""
        station, fault = self.row.station, self.row.fault
        return ground_of(station, fault, assumed_now(), today=self.today)

    def elsewhere(self) -> str:
        try:
            _line = self.ground
        except NoLine as problem:
            messages.error(self.request, str(problem))
            return self.get_back()
        return ""

    @cached_property
    def form(self) -> SaidForm:
        return SaidForm(
            self.posted,
            kind=SLUGS[self.kwargs["kind"]],
            ground=self.ground,
            units=self.get_place().units,
            station=self.row.station,
            initial=self.request.GET.dict(),
        )

    def get_watched(self) -> list[Model]:
        # Two people may record tests of one search at once: neither overwrites the other.
        return []

    def get_heading(self) -> Text:
        label = str(SLUGS[self.kwargs["kind"]].label)
        return label[:1].upper() + label[1:]

    def get_caution(self) -> Text:
        return caution()

    def get_extra(self) -> dict[str, object]:
        kind = SLUGS[self.kwargs["kind"]]
        if kind is KindOfTest.OHMS:
            return {"should": should_read_words(self.row.station)}
        is_distance = kind is KindOfTest.DISTANCE
        to_methods = reverse("faults:distances", args=[self.row.station.ref])
        return {"methods_url": to_methods} if is_distance else {}

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        stand = _stand(self.request, self.ground)
        return super().arguments({**data, "taken_at": self.form.when(), "stand": stand})


def _stand(request: SignedInRequest, ground: SearchGround) -> Stand:
    """Where the technician stood, as the page said; the controller where it said nothing."""
    try:
        at = int(request.GET.get("stand", ""))
        return stand_from({"at": at}, Ids(ground.points, ground.legs))
    except (ValueError, UnusablePlain):
        return Stand()


class SearchReadingVoid(VerbView[SearchReading]):
    """Take a wrong test out of its search."""

    verb = void_search_reading
    takes = "reading"
    form_class = VoidTestForm
    heading, button = _("Void a test of %s"), _("Void it")
    done = _("The test is voided. It stays in view, struck through.")

    def find(self) -> SearchReading:
        return find(search_readings_for(self.user, self.may_do), pk=self.kwargs["pk"])

    def get_named(self) -> object:
        return self.row.search.station

    def get_back(self) -> str:
        return where_url(self.row.search)

    def get_crumbs(self) -> Crumbs:
        return crumbs(self.row.search.fault, self.row.search.station)


class SearchEquip(SearchView):
    """Say what is at hand, whether a wire may be cut, and how the soil is."""

    verb = equip_search
    form_class = EquipForm
    heading, button = _("What is at hand"), _("Keep")
    done = _("Kept. The plan counts with it.")

    def get_initial(self) -> dict[str, object]:
        return {name: getattr(self.row, name) for name in ("tools", "may_cut", "soil_is_dry")}


class SearchFinish(SearchView):
    """End a search: found, given up, or not the wire."""

    verb = finish_search
    heading, button = _("End the search of %s"), _("End it")
    lead = _("Recording the break on the fault ends the search as found by itself.")
    done = _("The search has ended; what it knew at its end is kept.")
    template_name = "faults/searches/record.html"

    def get_form(self) -> FinishForm:
        return FinishForm(self.posted, breaks=breaks_of(self.row.fault))


class SearchGoOn(SearchView):
    """Take up a search again that was ended too early."""

    verb = reopen_search
    form_class = VoidTestForm
    heading, button = _("Go on with the search of %s"), _("Go on")
    done = _("The search goes on.")
