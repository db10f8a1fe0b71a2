"""Addresses of casework."""

from django.urls import path

from faults.casework.views import faults, moves

patterns = [
    path("faults/", faults.faults, name="faults"),
    path("faults/<ref:ref>/", faults.fault, name="fault"),
    path("faults/<ref:ref>/move/<slug:to>/", moves.move, name="move"),
]
