"""Addresses of readings."""

from django.urls import path

from faults.readings.views import distances, readings

patterns = [
    path("stations/<ref:ref>/readings/add/", readings.reading_add, name="reading_add"),
    path("stations/<ref:ref>/readings/judge/", readings.judge, name="judge"),
    path("stations/<ref:ref>/distance/", distances.methods, name="distances"),
    path("stations/<ref:ref>/distance/<slug:method>/", distances.distance, name="distance"),
    path("stations/<ref:ref>/depth/", distances.depth, name="depth"),
    path("readings/<int:pk>/void/", readings.reading_void, name="reading_void"),
    path("controllers/<ref:ref>/readings/", readings.readings, name="readings"),
    path("controllers/<ref:ref>/check-up/", readings.check_up_page, name="check_up"),
    path("controllers/<ref:ref>/walk/", readings.walk_page, name="walk"),
]
