"""Addresses of places."""

from django.urls import path

from reports.places.views import ground_map, places, plan

patterns = [
    path("properties/<ref:ref>/", places.property_page, name="property"),
    path("properties/<ref:ref>/plan/", plan.property_plan, name="property_plan"),
    path("properties/<ref:ref>/map.geojson", ground_map.property_map, name="property_map"),
    path("export/map.geojson", ground_map.export_map, name="export_map"),
    path("stations/<ref:ref>/", places.station_page, name="station"),
]
