"""Addresses of rounds."""

from django.urls import path

from faults.rounds.views import rounds, verbs
from sites.kernel.views.verb_views import page

patterns = [
    path("rounds/", rounds.rounds, name="rounds"),
    path("rounds/dates/", rounds.round_dates, name="round_dates"),
    page("rounds/add/", verbs.RoundAdd),
    path("rounds/<ref:ref>/", rounds.round_page, name="round"),
    page("rounds/<ref:ref>/change/", verbs.RoundChange),
    page("rounds/<ref:ref>/plan/", verbs.RoundPlan),
    page("rounds/<ref:ref>/send/", verbs.RoundSend),
    page("rounds/<ref:ref>/end/", verbs.RoundEnd),
    page("rounds/<ref:ref>/go-on/", verbs.RoundGoOn),
    path("jobs/<ref:ref>/progress/", rounds.job_progress, name="job_progress"),
    page("jobs/<ref:ref>/leave/", verbs.JobLeave),
    page("jobs/<ref:ref>/plan-left/", verbs.JobPlanLeft),
    page("left-out/<int:pk>/take-back/", verbs.LeftTakeBack),
]
