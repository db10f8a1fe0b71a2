"""Addresses of climate tables, days on which nothing ran, and valves that stayed open."""

from django.urls import path

from sites.kernel.views.verb_views import page
from sites.water.views import climate, fact_sheet, water

patterns = [
    path("climate/", climate.climate, name="climate"),
    page("climate/add/", climate.ClimateAdd),
    page("climate/weather/", climate.ClimateWeather),
    page("climate/table/", climate.ClimateTable),
    page("properties/<ref:ref>/climate/", climate.PropertyClimate),
    page("properties/<ref:ref>/climate/own/", climate.PropertyClimateOwn),
    page("properties/<ref:ref>/missing/", fact_sheet.MissingFacts),
    path(
        "properties/<ref:ref>/missing/check/",
        fact_sheet.missing_facts_check,
        name="missing_facts_check",
    ),
    page("stations/<ref:ref>/outage/", water.StationOutage),
    page("stations/<ref:ref>/outage/take-back/", water.StationOutageBack),
    page("stations/<ref:ref>/stuck-open/", water.StationStuckOpen),
    page("stations/<ref:ref>/stuck-open/take-back/", water.StationStuckOpenBack),
]
