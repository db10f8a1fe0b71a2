"""Addresses of goals."""

from django.urls import path

from reports.goals import views
from sites.kernel.views.verb_views import page

patterns = [
    path("goals/", views.goals, name="goals"),
    page("goals/set/", views.GoalAdd),
    page("goals/<ref:ref>/take-back/", views.GoalTakeBack),
]
