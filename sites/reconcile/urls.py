"""Addresses of what the office does at its desk: views that it keeps, and reconciling."""

from django.urls import path

from sites.reconcile import views as reconcile

patterns = [
    path("reconcile/", reconcile.reconcile, name="reconcile"),
    path("reconcile/<ref:ref>/", reconcile.reconcile_list, name="reconcile_list"),
    path("reconcile/<ref:ref>/decide/", reconcile.reconcile_decide, name="reconcile_decide"),
    path(
        "reconcile/<ref:ref>/take-back/",
        reconcile.reconcile_take_back,
        name="reconcile_take_back",
    ),
]
