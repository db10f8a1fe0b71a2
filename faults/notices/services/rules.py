"""Verbs on the rules of regions: defaults for planning that the owner confirms, never the law."""

from collections.abc import Mapping
from datetime import date

from django.utils.translation import gettext as _

from faults.models import NoticeRule
from faults.notices.engines.regions import region_key
from faults.notices.engines.workdays import Unit
from faults.notices.services.book import rules_by_region
from faults.notices.services.terms import years_of
from sites.kernel.engines.roles import Action
from sites.kernel.services.dated import put
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import User

# What is counted with. Source and note can change without anyone asking the centre again.
COUNTED = (
    "region",
    "wait_n",
    "wait_unit",
    "count_notice_day",
    "closed_day_starts_next",
    "saturday_clears_at",
    "day_start",
    "day_end",
    "closed_days",
    "max_ahead_n",
    "max_ahead_unit",
    "life_n",
    "life_unit",
    "life_from",
    "renew_before_n",
    "tolerance_in",
    "needs_positive_response",
)


class UnableToKeepRule(UnableToAct):
    """A rule that cannot be kept or confirmed so."""


@verb(
    name="add a notice rule",
    action=Action.SET_NOTICE_RULES,
    guard="the region has none yet; its numbers can be counted with",
    undo="leave it unconfirmed: then it lets no dig go",
)
def add_rule(*, values: Mapping[str, object]) -> NoticeRule:
    """Keep a region's rule; it counts only once it is confirmed."""
    rule = NoticeRule()
    put(rule, values)
    _refuse_impossible(rule)
    rule.save()
    return rule


@verb(
    name="change a notice rule",
    action=Action.SET_NOTICE_RULES,
    guard="no other rule has the region; its numbers can be counted with; a changed number takes "
    "the confirmation back",
    undo="change it back, with the values that its history shows, and confirm it again",
)
def change_rule(*, rule: NoticeRule, values: Mapping[str, object], why: str = "") -> bool:
    """Change a rule; return whether that took its confirmation back."""
    is_counted = any(getattr(rule, name) != values.get(name) for name in COUNTED if name in values)
    put(rule, values)
    _refuse_impossible(rule)
    was_confirmed = rule.confirmed_on is not None
    if is_counted:
        rule.confirmed_by = rule.confirmed_on = None
    save_because(rule, why)
    return is_counted and was_confirmed


@verb(
    name="confirm a notice rule",
    action=Action.SET_NOTICE_RULES,
    guard="it is not confirmed; it says where it was read; where working days or hours are "
    "counted, it names a set of closed days that lists the year; a day that has come",
    undo="take back the confirmation of a notice rule",
)
def confirm_rule(*, rule: NoticeRule, by: User, on: date, today: date) -> None:
    """Say that the centre was asked and the rule holds."""
    refuse_ahead(on, today, field="on")
    if rule.confirmed_on is not None:
        raise UnableToKeepRule(_("It was confirmed on %s already.") % rule.confirmed_on.isoformat())
    if not rule.source_url.strip():
        raise UnableToKeepRule(
            _("Say first where this rule was read, or who at the centre said it: its source.")
        )
    _refuse_without_closed_days(rule, on)
    rule.confirmed_by, rule.confirmed_on = by, on
    rule.save()


@verb(
    name="take back the confirmation of a notice rule",
    action=Action.SET_NOTICE_RULES,
    guard="it is confirmed; why",
    undo="confirm a notice rule",
)
def take_back_confirmation(*, rule: NoticeRule, why: str) -> None:
    """Let no dig go by this rule until the centre is asked again and it is confirmed."""
    if rule.confirmed_on is None:
        raise UnableToKeepRule(_("It is not confirmed."))
    rule.confirmed_by = rule.confirmed_on = None
    save_because(rule, why)


def _refuse_impossible(rule: NoticeRule) -> None:
    rule.region = " ".join(rule.region.split())
    if not rule.region:
        raise UnableToKeepRule(_("Which region is it for?"), field="region")
    other = rules_by_region().get(region_key(rule.region))
    if other is not None and other.pk != rule.pk:
        raise UnableToKeepRule(
            _("%s has a rule already. Change that one.") % other.region, field="region"
        )
    if rule.wait_n is None or rule.wait_n <= 0:
        raise UnableToKeepRule(_("How long must one wait? At least 1."), field="wait_n")
    if rule.day_end <= rule.day_start:
        raise UnableToKeepRule(
            _("The centre's day ends before it starts. Correct one of the times."), field="day_end"
        )
    if Unit.HOUR in (rule.max_ahead_unit, rule.life_unit):
        field = "life_unit" if rule.life_unit == Unit.HOUR else "max_ahead_unit"
        raise UnableToKeepRule(_("Count this in working days or calendar days."), field=field)
    if rule.renew_before_n and rule.renew_before_n >= (rule.life_n or 0):
        raise UnableToKeepRule(
            _("The renewal must lie within the life of a ticket."), field="renew_before_n"
        )
    if rule.saturday_clears_at is not None and rule.wait_unit != Unit.HOUR:
        raise UnableToKeepRule(
            _("Only a rule that counts hours says by the clock when a Saturday's notice clears."),
            field="saturday_clears_at",
        )


def _refuse_without_closed_days(rule: NoticeRule, on: date) -> None:
    if rule.wait_unit == Unit.CALENDAR_DAY:
        return
    if rule.closed_days is None:
        raise UnableToKeepRule(
            _(
                "It counts days on which the centre works: choose its set of closed days first. "
                "Without one, the count would end too early."
            )
        )
    if on.year not in years_of(rule.closed_days):
        raise UnableToKeepRule(
            _("The set %(set)s lists no day of %(year)s. Add that year first.")
            % {"set": rule.closed_days, "year": on.year}
        )
