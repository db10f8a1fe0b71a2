"""Addresses of what the office does at its desk: views that it keeps, and reconciling."""

from django.urls import path

from sites.views import saved_views

desk_patterns = [
    path("views/keep/", saved_views.view_keep, name="view_keep"),
    path("views/forget/", saved_views.view_forget, name="view_forget"),
]
