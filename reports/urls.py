"""Addresses of the pages that combine."""

from django.urls import path

from reports.views import client, home, places, plan

app_name = "reports"

urlpatterns = [
    path("", home.home, name="home"),
    path("mine/", client.mine, name="mine"),
    path("properties/<ref:ref>/", places.property_page, name="property"),
    path("properties/<ref:ref>/plan/", plan.property_plan, name="property_plan"),
    path("stations/<ref:ref>/", places.station_page, name="station"),
]
