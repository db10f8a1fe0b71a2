"""Addresses of casework."""

from django.urls import path

from faults.casework.views import fault_many, faults, moves, station_many
from sites.kernel.views.verb_views import page

patterns = [
    path("faults/", faults.faults, name="faults"),
    path("faults/many/", fault_many.FaultMany.as_view(), name="fault_many"),
    path("stations/many/", station_many.StationMany.as_view(), name="station_many"),
    path("faults/<ref:ref>/", faults.fault, name="fault"),
    page("faults/<ref:ref>/move/<slug:to>/", moves.Move),
]
