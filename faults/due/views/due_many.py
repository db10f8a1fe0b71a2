"""What may be done to many lines of what is due at once."""

from typing import Any

from django.db.models import QuerySet
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from faults.due.forms import DueFilter, HandManyForm, MoveManyForm
from faults.due.queries import handled_by, person_of
from faults.due.services.by_hand import hand_over, put_back_on_its_day, reopen_follow_up
from faults.due.services.lines import chosen_rows, page_of
from faults.due.services.words import sentence
from faults.due.views.due_lines import DueFinish, DueHandOver, DueMove
from faults.models import FollowUp
from sites.kernel.engines.roles import Action
from sites.kernel.services.many import Named
from sites.kernel.views.acts import Act
from sites.kernel.views.many import ManyView
from sites.models import User
from sites.register.queries.stations import days_by_zone


def _reopen(row: FollowUp, _kept: dict[str, Any], _by: User) -> None:
    reopen_follow_up(follow_up=row)


def _put_back(row: FollowUp, _kept: dict[str, Any], _by: User) -> None:
    put_back_on_its_day(follow_up=row)


def _hand_back(row: FollowUp, kept: dict[str, Any], _by: User) -> None:
    hand_over(follow_up=row, to=person_of(kept["to"]))


class DueMany(ManyView[FollowUp]):
    """Done, moved or handed over: as many lines as are ticked."""

    asks_for = Action.SEE_WORK
    list_page, many_page = "faults:due", "faults:due_many"
    acts = {
        "due_finish": Act(
            DueFinish,
            button=_("Done"),
            heading=lambda n: ngettext("%(n)s line: done?", "%(n)s lines: done?", n) % {"n": n},
            said=lambda n: ngettext("%(n)s line done.", "%(n)s lines done.", n) % {"n": n},
            undo=_reopen,
        ),
        "due_move": Act(
            DueMove,
            button=_("Move"),
            heading=lambda n: ngettext("Move %(n)s line", "Move %(n)s lines", n) % {"n": n},
            said=lambda n: ngettext("%(n)s line moved.", "%(n)s lines moved.", n) % {"n": n},
            undo=_put_back,
            form_class=MoveManyForm,
        ),
        "due_hand_over": Act(
            DueHandOver,
            button=_("Hand over"),
            heading=lambda n: (
                ngettext("Hand %(n)s line over", "Hand %(n)s lines over", n) % {"n": n}
            ),
            said=lambda n: (
                ngettext("%(n)s line handed over.", "%(n)s lines handed over.", n) % {"n": n}
            ),
            keep=lambda row: {"to": row.handed_to_id},
            undo=_hand_back,
            form_class=HandManyForm,
        ),
    }

    @classmethod
    def rows_for(cls, user: User, action: Action) -> QuerySet[FollowUp]:
        del action  # all three ask for the same
        return handled_by(user)

    def matching(self, asked: QueryDict) -> QuerySet[FollowUp]:
        days = days_by_zone(timezone.now())
        return chosen_rows(self.request.user, DueFilter(asked).chosen(), days)

    @classmethod
    def named(cls, row: FollowUp) -> Named[FollowUp]:
        return Named(row, f"{row.property.code}: {sentence(row)}", page_of(row))
