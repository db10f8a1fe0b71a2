"""What is due, in words: one sentence for pages, mails and calendars."""

from typing import TYPE_CHECKING

from django.utils.translation import gettext_lazy as _

from faults.models import FollowUp, FollowUpKind

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

SENTENCES: "dict[str, _StrPromise]" = {
    FollowUpKind.BATTERY: _("Change the batteries of %(about)s"),
    FollowUpKind.SPELL_LONG: _("%(about)s is off central for longer than agreed"),
    FollowUpKind.RETEST_FIRST: _("Test %(about)s again: does the mend hold?"),
    FollowUpKind.RETEST_SECOND: _("Test %(about)s a second time: does the mend hold?"),
    FollowUpKind.SETTLE: _("Look at the filled hole and the turf: %(about)s"),
    FollowUpKind.SOAK: _("Soak the soil before the visit: %(about)s"),
    FollowUpKind.NOTICE_CLEAR: _("Digging may start, once every operator has answered: %(about)s"),
    FollowUpKind.NOTICE_RUNS_OUT: _("Renew it, or it runs out before the dig: %(about)s"),
    FollowUpKind.CHASE_CLIENT: _("Ask the client again: %(about)s"),
    FollowUpKind.CHECK_UP: _("Yearly check of the wires: %(about)s"),
    FollowUpKind.DISABLE_IN_CENTRAL: _("Disable %(about)s in central's schedule"),
    FollowUpKind.PROMISE_SLIPS: _("The promised day slips, bring it forward or tell: %(about)s"),
    FollowUpKind.STAYS_ON: _(
        "It waters and cannot be stopped: shut the valve's flow control or the main by hand, by "
        "who may: %(about)s"
    ),
    FollowUpKind.VISIT_SLIPS: _(
        "Somebody was promised to come, and no visit is planned so: plan it, or tell: %(about)s"
    ),
    FollowUpKind.CENTRAL_DIFFERS: _(
        "Central's own list and the register differ: put one of the two right"
    ),
}


def about(row: FollowUp) -> str:
    """Return the one thing that it is about, as narrow as is known."""
    if row.notice:
        return str(_("notice %s") % row.notice.ticket)
    if row.device:
        return str(_("timer %s") % row.device.name)
    if row.job:
        return str(row.job.get_kind_display())
    if row.station:
        return f"{row.station} {row.station.name}".strip()
    if row.controller:
        return str(_("controller %s") % row.controller.name)
    return str(_("fault %s") % row.fault) if row.fault else ""


def sentence(row: FollowUp) -> str:
    """Return what is to be done, without the property."""
    if row.what:
        return row.what
    return str(SENTENCES[row.kind] % {"about": about(row)})
