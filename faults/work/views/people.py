"""Pages of who was there on a visit: note it, correct it, strike it out, put it back."""

from django.db.models import Model
from django.utils.translation import gettext_lazy as _

from faults.models import Job, PersonThere
from faults.work.forms.jobs import WhyForm
from faults.work.forms.people import CorrectPersonForm, PeopleForm
from faults.work.queries.people import people_there_for
from faults.work.services.people import (
    correct_person,
    note_people,
    put_person_back,
    remove_person,
)
from faults.work.views.job_common import JobView, OfJobView
from sites.kernel.access import find


class PeopleAdd(JobView):
    """Enter who was there together, with the same work and times."""

    verb = note_people
    form_class = PeopleForm
    heading, button = _("Who was there?"), _("Keep this")
    lead = _(
        "The hours of all people are what the visit took. Enter other work or times by itself."
    )
    done = _("Kept. The visit's man-hours are the sum of its people.")

    def get_watched(self) -> list[Model]:
        # Two people may enter themselves at once: neither overwrites the other.
        return []


class _OfPerson(OfJobView[PersonThere]):
    takes = "person"

    def find(self) -> PersonThere:
        return find(people_there_for(self.user, self.may_do), pk=self.kwargs["pk"])

    @property
    def job(self) -> Job:
        return self.row.job

    def get_named(self) -> str:
        return self.row.name


class PersonCorrect(_OfPerson):
    """Correct what a person did, or from when to when."""

    verb = correct_person
    form_class = CorrectPersonForm
    heading, button = _("Correct when %s was there"), _("Correct it")
    done = _("Corrected. History keeps what was there before.")


class PersonRemove(_OfPerson):
    """Strike a person out."""

    verb = remove_person
    form_class = WhyForm
    heading, button = _("Strike out “%s”"), _("Strike it out")
    done = _("Struck out: it counts nowhere, and can be put back.")


class PersonPutBack(_OfPerson):
    """Put a person back."""

    verb = put_person_back
    heading, button = _("Put “%s” back?"), _("Put it back")
    done = _("These hours count again.")
