"""Addresses of notices, their rules, soaking and questions to the client."""

from django.urls import path

from faults.notices.views import closed_days, dig_overrides, notice_rules, notices

patterns = [
    path("notices/", notices.notices, name="notices"),
    path("notices/<ref:ref>/", notices.notice, name="notice"),
    path("notices/<ref:ref>/change/", notices.notice_change, name="notice_change"),
    path("notices/<ref:ref>/answers/", notices.notice_answers, name="notice_answers"),
    path("notices/<ref:ref>/cancel/", notices.notice_cancel, name="notice_cancel"),
    path("faults/<ref:ref>/notices/give/", notices.notice_give, name="notice_give"),
    path("properties/<ref:ref>/notices/give/", notices.notice_give_here, name="notice_give_here"),
    path("notice-rules/", notice_rules.notice_rules, name="notice_rules"),
    path("notice-rules/add/", notice_rules.notice_rule_add, name="notice_rule_add"),
    path("notice-rules/<ref:ref>/", notice_rules.notice_rule, name="notice_rule"),
    path(
        "notice-rules/<ref:ref>/change/", notice_rules.notice_rule_change, name="notice_rule_change"
    ),
    path(
        "notice-rules/<ref:ref>/confirm/",
        notice_rules.notice_rule_confirm,
        name="notice_rule_confirm",
    ),
    path("closed-days/add/", closed_days.closed_days_add, name="closed_days_add"),
    path("closed-days/<ref:ref>/", closed_days.closed_days, name="closed_days"),
    path("closed-days/<ref:ref>/ticks/", closed_days.closed_days_ticks, name="closed_days_ticks"),
    path(
        "closed-days/<ref:ref>/change/", closed_days.closed_days_change, name="closed_days_change"
    ),
    path("closed-days/<ref:ref>/years/", closed_days.closed_days_years, name="closed_days_years"),
    path("closed-days/<ref:ref>/day/", closed_days.closed_days_day, name="closed_days_day"),
    path("jobs/<ref:ref>/override/", dig_overrides.dig_override, name="dig_override"),
    path(
        "jobs/<ref:ref>/override/take-back/",
        dig_overrides.dig_override_back,
        name="dig_override_back",
    ),
]
