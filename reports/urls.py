"""Addresses of the pages that combine."""

from django.urls import path

from reports.files import views as export
from reports.hotspots.views import hotspots
from reports.meter import views as water
from reports.off_central.views import client, home
from reports.places.views import places, plan
from reports.search import views as search

app_name = "reports"

urlpatterns = [
    path("", home.home, name="home"),
    path("mine/", client.mine, name="mine"),
    path("hotspots/", hotspots.hotspots, name="hotspots"),
    path("hotspots/cause/", hotspots.hotspot_cause, name="hotspot_cause"),
    path("hotspots/legs/<ref:ref>/", hotspots.hotspot_leg, name="hotspot_leg"),
    path("hotspots/legs/<ref:ref>/worth/", hotspots.hotspot_worth, name="hotspot_worth"),
    path("search/", search.search, name="search"),
    path("export/", export.export, name="export"),
    path("export/register/", export.export_register, name="export_register"),
    path("export/summary/", export.export_summary, name="export_summary"),
    path("water/", water.water, name="water"),
    path("water/missing/", water.water_missing, name="water_missing"),
    path("properties/<ref:ref>/water/", water.property_water, name="property_water"),
    path("stations/<ref:ref>/water/", water.station_water, name="station_water"),
    path("properties/<ref:ref>/", places.property_page, name="property"),
    path("properties/<ref:ref>/plan/", plan.property_plan, name="property_plan"),
    path("stations/<ref:ref>/", places.station_page, name="station"),
]
