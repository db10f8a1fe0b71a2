"""Addresses of meter."""

from django.urls import path

from reports.meter import views as water

patterns = [
    path("water/", water.water, name="water"),
    path("water/missing/", water.water_missing, name="water_missing"),
    path("properties/<ref:ref>/water/", water.property_water, name="property_water"),
    path("stations/<ref:ref>/water/", water.station_water, name="station_water"),
]
