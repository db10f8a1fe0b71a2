"""Addresses of places."""

from django.urls import path

from reports.places.views import places, plan

patterns = [
    path("properties/<ref:ref>/", places.property_page, name="property"),
    path("properties/<ref:ref>/plan/", plan.property_plan, name="property_plan"),
    path("stations/<ref:ref>/", places.station_page, name="station"),
]
