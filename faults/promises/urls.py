"""Addresses of promises."""

from django.urls import path

from faults.promises import views
from sites.kernel.views.verb_views import page

patterns = [
    path("promises/", views.promises, name="promises"),
    path("promises/<ref:ref>/", views.promise, name="promise"),
    page("faults/<ref:ref>/promise/", views.PromiseADay),
]
