"""Addresses of whose move it is, and of who goes when."""

from django.urls import path

from faults.waits.views import whose

patterns = [
    path("moves/", whose.moves, name="moves"),
]
