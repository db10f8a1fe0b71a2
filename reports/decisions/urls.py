"""Addresses of what to renew first, and of what was decided."""

from django.urls import path

from reports.decisions.views import costs, deciding, renewing
from sites.kernel.views.verb_views import page

patterns = [
    path("renew/", renewing.renew_first, name="renew_first"),
    page("renew/costs/keep/", costs.RenewCostsKeep),
    page("renew/costs/<ref:ref>/drop/", costs.RenewCostsDrop),
    path("decisions/", deciding.decisions, name="decisions"),
    page("legs/<ref:ref>/decide/", deciding.LegDecide),
    page("decisions/<ref:ref>/take-back/", deciding.DecisionTakeBack),
]
