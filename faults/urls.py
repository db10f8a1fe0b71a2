"""Addresses of faults and of loading."""

from django.urls import path

from faults.views import faults

app_name = "faults"

urlpatterns = [
    path("faults/", faults.faults, name="faults"),
    path("faults/<ref:ref>/", faults.fault, name="fault"),
]
