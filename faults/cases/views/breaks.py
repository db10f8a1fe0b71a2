"""Record a break, correct one or take it back, and print the evidence for charging it back."""

from typing import Any

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.access import breaks_for, roles_on
from faults.cases.engines.stages import Stage, needs_a_reason, next_moves
from faults.cases.forms.breaks import CorrectBreakForm, RecordBreakForm
from faults.cases.queries import claims_of, photos_of, stations_of
from faults.cases.services.break_back import may_take_back, take_back_break
from faults.cases.services.breaks import Shot, correct_break, record_break
from faults.cases.views.common import FaultView, OfFaultView, crumbs_of
from faults.models import Break, Fault, FaultStation, Shows
from sites.kernel.access import SignedInRequest, actions_on, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.views.verb_views import Text
from sites.models import User
from sites.register.services.photos import prepare_photo

UNDER_WARRANTY = _(
    "It lies where we mended on %(mended)s (fault %(fault)s): under our own warranty "
    "until %(until)s."
)


class BreakAdd(FaultView):
    """Record a break of this fault, with a photo at once."""

    verb = record_break
    heading, button = _("Record a break of %s"), _("Keep this break")
    caution = _("Before anybody digs: have underground utilities marked, and keep to local codes.")
    template_name = "faults/verbs/break.html"

    def get_form(self) -> RecordBreakForm:
        return RecordBreakForm(
            self.posted,
            self.request.FILES or None,
            fault=self.row,
            leg_ref=self.request.GET.get("leg", ""),
            waiting=_waiting(self.user, self.row),
            today=self.today,
        )

    def get_watched(self) -> list[Model]:
        return []

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        shot = None
        if file := data["camera"] or data["photo"]:
            photo = prepare_photo(file, keep_position=data["keep_position"])
            shot = Shot(photo, data["shows"])
        return {**super().arguments(data), "shot": shot}

    def get_done(self) -> Text:
        return _kept_words(self.result)

    def get_undo(self) -> str:
        # It is taken back on a page of its own: that of the break, not of its fault.
        if not may_take_back(self.result, roles_on(self.user, self.row.property)):
            return ""
        return reverse("faults:break_take_back", args=[self.result.ref])


def _kept_words(one: Break) -> str:
    words = str(_("The break is recorded: %s.") % one)
    for claim in claims_of([one], one.fault.property):
        known = {
            "mended": claim.earlier.mended_on,
            "fault": claim.earlier.fault,
            "until": claim.until,
        }
        words += " " + UNDER_WARRANTY % known
    return words


def _waiting(user: User, fault: Fault) -> list[FaultStation]:
    """Return the stations that this user may move on to "found"."""
    roles = roles_on(user, fault.property)
    return [
        row
        for row in stations_of(fault)
        if any(
            step.end is Stage.FOUND and not needs_a_reason(step)
            for step in next_moves(Stage(row.stage), roles)
        )
    ]


class BreakCorrect(OfFaultView[Break]):
    """Correct what was recorded of a break."""

    verb = correct_break
    takes = "one"
    form_class = CorrectBreakForm
    heading, button = _("Correct a break of %s"), _("Correct it")
    done = _("Corrected. History keeps what was recorded before.")
    template_name = "faults/verbs/break.html"

    @property
    def fault(self) -> Fault:
        """The fault of the break."""
        return self.row.fault

    def find(self) -> Break:
        return _break(self.user, self.kwargs["ref"], self.may_do)

    def get_form_kwargs(self) -> dict[str, object]:
        return {"one": self.row, "leg_ref": self.request.GET.get("leg", "")}


class BreakTakeBack(OfFaultView[Break]):
    """Take back a break that was never there."""

    verb = take_back_break
    takes = "one"
    form_class = WhyForm
    heading, button = _("Take back a break of %s"), _("Take it back")
    lead = _(
        "The break goes, as if it had never been recorded: stations that it alone let be found "
        "go back to where they were, and the search that it ended goes on. Its photos stay with "
        "the fault, and the history keeps what it said."
    )
    done = _("The break is taken back. The history of the fault says so.")

    @property
    def fault(self) -> Fault:
        """The fault of the break."""
        return self.row.fault

    def find(self) -> Break:
        return _break(self.user, self.kwargs["ref"], self.may_do)

    def get_heading(self) -> Text:
        return f"{self.fill(self.heading)}: {self.row}"


@page_for(Action.SEE_FAULTS)
def evidence(request: SignedInRequest, ref: str) -> HttpResponse:
    """One page to print: what was damaged, where, when, by whom, and what was done."""
    one = _break(request.user, ref, Action.SEE_FAULTS)
    place = one.fault.property
    may_here = actions_on(request.user, place)
    shown = [photo for photo in photos_of(one.fault) if not photo.hidden_on]
    of_break = [photo for photo in shown if photo.of_break_id == one.pk]
    context = {
        "one": one,
        "fault": one.fault,
        "place": place,
        "crumbs": crumbs_of(one.fault),
        "stations": stations_of(one.fault),
        "pictures": _pictures(of_break) if may_here.get("see_photos") else [],
        "may_here": may_here,
        "change_url": reverse("faults:break_correct", args=[one.ref]),
    }
    return render(request, "faults/evidence.html", context)


def _pictures(photos: list[Any]) -> list[tuple[Any, Any]]:
    """Return the newest photo of each kind, or None where there is none."""
    newest = {photo.shows: photo for photo in reversed(photos)}
    return [(label, newest.get(shows)) for shows, label in Shows.choices]


def _break(user: User, ref: str, action: Action) -> Break:
    rows = breaks_for(user, action).select_related(
        "fault__property", "leg__from_point", "leg__to_point", "from_point"
    )
    return find(rows.prefetch_related("wires"), ref=ref)
