"""Addresses of hotspots."""

from django.urls import path

from reports.hotspots.views import hotspots

patterns = [
    path("hotspots/", hotspots.hotspots, name="hotspots"),
    path("hotspots/cause/", hotspots.hotspot_cause, name="hotspot_cause"),
    path("hotspots/legs/<ref:ref>/", hotspots.hotspot_leg, name="hotspot_leg"),
    path("hotspots/legs/<ref:ref>/worth/", hotspots.hotspot_worth, name="hotspot_worth"),
]
