"""Addresses of readings."""

from django.urls import path

from faults.readings.views import bring_home, distances, readings
from sites.kernel.views.verb_views import page

patterns = [
    page("stations/<ref:ref>/readings/add/", readings.ReadingAdd),
    path("stations/<ref:ref>/readings/judge/", readings.judge, name="judge"),
    path("stations/<ref:ref>/distance/", distances.methods, name="distances"),
    path("stations/<ref:ref>/distance/<slug:method>/", distances.distance, name="distance"),
    path("stations/<ref:ref>/depth/", distances.depth, name="depth"),
    path("home-without-a-dig/", bring_home.homes, name="homes"),
    path("properties/<ref:ref>/home-without-a-dig/", bring_home.homes_at, name="homes_at"),
    page("properties/<ref:ref>/home-without-a-dig/read/", bring_home.HomesRead),
    page("stations/<ref:ref>/lead-home/", bring_home.HomeLead),
    page("readings/<int:pk>/void/", readings.ReadingVoid),
    path("controllers/<ref:ref>/readings/", readings.readings, name="readings"),
    page("controllers/<ref:ref>/check-up/", readings.CheckUp),
    page("controllers/<ref:ref>/walk/", readings.Walk),
]
