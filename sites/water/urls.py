"""Addresses of climate tables, days on which nothing ran, and valves that stayed open."""

from django.urls import path

from sites.water.views import climate, water

patterns = [
    path("climate/", climate.climate, name="climate"),
    path("climate/add/", climate.climate_add, name="climate_add"),
    path("climate/weather/", climate.climate_weather, name="climate_weather"),
    path("climate/table/", climate.climate_table, name="climate_table"),
    path("properties/<ref:ref>/climate/", climate.property_climate, name="property_climate"),
    path(
        "properties/<ref:ref>/climate/own/",
        climate.property_climate_own,
        name="property_climate_own",
    ),
    path("stations/<ref:ref>/outage/", water.station_outage, name="station_outage"),
    path(
        "stations/<ref:ref>/outage/take-back/",
        water.station_outage_back,
        name="station_outage_back",
    ),
    path("stations/<ref:ref>/stuck-open/", water.station_stuck_open, name="station_stuck_open"),
    path(
        "stations/<ref:ref>/stuck-open/take-back/",
        water.station_stuck_open_back,
        name="station_stuck_open_back",
    ),
]
