"""Addresses of what the office does at its desk: views that it keeps, and reconciling."""

from django.urls import path

from sites.people.views import saved_views
from sites.reconcile import views as reconcile

desk_patterns = [
    path("views/keep/", saved_views.view_keep, name="view_keep"),
    path("views/forget/", saved_views.view_forget, name="view_forget"),
    path("reconcile/", reconcile.reconcile, name="reconcile"),
    path("reconcile/<ref:ref>/", reconcile.reconcile_list, name="reconcile_list"),
    path("reconcile/<ref:ref>/decide/", reconcile.reconcile_decide, name="reconcile_decide"),
    path(
        "reconcile/<ref:ref>/take-back/",
        reconcile.reconcile_take_back,
        name="reconcile_take_back",
    ),
]
