"""The rules of what falls due, as data: on or off, and how many days."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.models import FollowUpKind, FollowUpRule
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

MOST_DAYS = 3650

# What each rule does, in words; "days" is the number that the company sets.
EXPLAINED: "dict[FollowUpKind, _StrPromise]" = {
    FollowUpKind.BATTERY: gettext_lazy(
        "Days after a battery set was changed, or after the timer was fitted where no change is "
        "recorded. A kind whose old sets were found empty or still charged is due by its own life."
    ),
    FollowUpKind.SPELL_LONG: gettext_lazy(
        "Days after the client accepted a stopgap. Where the client agreed to it until a day, that "
        "day counts instead. Where nobody agreed to anything, nothing falls due."
    ),
    FollowUpKind.RETEST_FIRST: gettext_lazy(
        "Days after a station's wire was mended: does the mend hold?"
    ),
    FollowUpKind.RETEST_SECOND: gettext_lazy(
        "Days after a station's wire was mended: a second time."
    ),
    FollowUpKind.SETTLE: gettext_lazy(
        "Days after a dig was done: has the filled hole settled, has the turf come back?"
    ),
    FollowUpKind.SOAK: gettext_lazy(
        "Days before a visit that locates or digs, unless the soil is soaked already. Clay is "
        "soaked two days before."
    ),
    FollowUpKind.NOTICE_CLEAR: gettext_lazy(
        "Days after the day from which a notice lets a dig start."
    ),
    FollowUpKind.NOTICE_RUNS_OUT: gettext_lazy(
        "Days before a notice runs out, while its dig is still ahead. Where its rule says by when "
        "to renew it, that day counts instead."
    ),
    FollowUpKind.CHASE_CLIENT: gettext_lazy(
        "Days after the client was asked, or asked again, without an answer."
    ),
    FollowUpKind.CHECK_UP: gettext_lazy(
        "Days after the wires of a controller were last checked. Those that were never checked are "
        "spread over so many days from when the register knew them, at most four a day at a "
        "property. Those in a round of check-ups are due with the round."
    ),
    FollowUpKind.DISABLE_IN_CENTRAL: gettext_lazy(
        "Days after a stopgap was fitted whose station is still in central's schedule."
    ),
    FollowUpKind.PROMISE_SLIPS: gettext_lazy(
        "Days ahead of a promised day from which on it is told that the plan no longer keeps it, "
        "at less than five times of ten."
    ),
    FollowUpKind.STAYS_ON: gettext_lazy(
        "Days after a station was reported that waters and cannot be stopped from the controller. "
        "It lapses once the fault is mended."
    ),
    FollowUpKind.VISIT_SLIPS: gettext_lazy(
        "Days ahead of the day for which somebody was promised to come, from which on it is told "
        "that no visit is planned by then, or none at the promised time."
    ),
    FollowUpKind.CENTRAL_DIFFERS: gettext_lazy(
        "Days after a list of the central system showed differences that no list before it showed. "
        "It lapses once they are settled."
    ),
}


class UnableToSetRule(UnableToAct):
    """The rule cannot be set so."""


@dataclass(frozen=True)
class Rule:
    """How one kind is ruled now, and what it would be out of the box."""

    kind: FollowUpKind
    is_on: bool
    days: int
    default_days: int

    @property
    def explained(self) -> str:
        """What the rule does, in the user's language."""
        return str(EXPLAINED[self.kind])


def rules_now() -> dict[FollowUpKind, Rule]:
    """Return every rule: as stored in the database, else as the settings have it."""
    kept = {row.kind: row for row in kept_rules()}
    found = {}
    for kind in EXPLAINED:
        default: int = settings.FOLLOW_UP_DAYS[kind.value]
        row = kept.get(kind.value)
        found[kind] = Rule(kind, row.is_on if row else True, row.days if row else default, default)
    return found


def kept_rules() -> list[FollowUpRule]:
    """Return the rules that are stored in the database."""
    return list(FollowUpRule.objects.order_by("pk"))


@verb(
    name="set a rule of what falls due",
    action=Action.SET_UP_WORK,
    guard=f"a kind that rules raise; 0 to {MOST_DAYS} days",
    undo="set the rule of what falls due back, with the values that its history shows",
)
def set_rule(*, kind: FollowUpKind, is_on: bool, days: int) -> FollowUpRule | None:
    """Set one rule. Nothing is written while it is as before."""
    if kind not in EXPLAINED:
        raise UnableToSetRule(_("No rule raises what is noted by hand."))
    if not 0 <= days <= MOST_DAYS:
        raise UnableToSetRule(
            _("Give a number of days from 0 to %d.") % MOST_DAYS, field=f"days_{kind.name.lower()}"
        )
    now = rules_now()[kind]
    if (now.is_on, now.days) == (is_on, days):
        return None
    row, _made = FollowUpRule.objects.select_for_update().get_or_create(
        kind=kind.value, defaults={"is_on": is_on, "days": days}
    )
    if (row.is_on, row.days) != (is_on, days):
        row.is_on, row.days = is_on, days
        row.save()
    return row
