"""Addresses of notices, their rules, soaking and questions to the client."""

from django.urls import path

from faults.notices.views import closed_days, dig_overrides, notice_rules, notices
from sites.kernel.views.verb_views import page

patterns = [
    path("notices/", notices.notices, name="notices"),
    path("notices/<ref:ref>/", notices.notice, name="notice"),
    page("notices/<ref:ref>/change/", notices.NoticeChange),
    page("notices/<ref:ref>/answers/", notices.NoticeAnswers),
    page("notices/<ref:ref>/cancel/", notices.NoticeCancel),
    page("faults/<ref:ref>/notices/give/", notices.NoticeGive),
    page("properties/<ref:ref>/notices/give/", notices.NoticeGiveHere),
    path("notice-rules/", notice_rules.notice_rules, name="notice_rules"),
    page("notice-rules/add/", notice_rules.NoticeRuleAdd),
    path("notice-rules/<ref:ref>/", notice_rules.notice_rule, name="notice_rule"),
    page("notice-rules/<ref:ref>/change/", notice_rules.NoticeRuleChange),
    page("notice-rules/<ref:ref>/confirm/", notice_rules.NoticeRuleConfirm),
    page("closed-days/add/", closed_days.ClosedDaysAdd),
    path("closed-days/<ref:ref>/", closed_days.closed_days, name="closed_days"),
    page("closed-days/<ref:ref>/ticks/", closed_days.ClosedDaysTicks),
    page("closed-days/<ref:ref>/change/", closed_days.ClosedDaysChange),
    page("closed-days/<ref:ref>/years/", closed_days.ClosedDaysYears),
    page("closed-days/<ref:ref>/day/", closed_days.ClosedDaysDay),
    page("jobs/<ref:ref>/override/", dig_overrides.DigOverride),
    page("jobs/<ref:ref>/override/take-back/", dig_overrides.DigOverrideBack),
]
