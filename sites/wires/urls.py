"""Addresses of wires."""

from django.urls import path

from sites.kernel.views.verb_views import page
from sites.wires.views import points, serving, wires

patterns = [
    page("properties/<ref:ref>/points/add/", points.PointAdd),
    path("points/<ref:ref>/", points.point, name="point"),
    page("points/<ref:ref>/change/", points.PointChange),
    page("points/<ref:ref>/position/", points.PointMove),
    page("points/<ref:ref>/wires/", points.PointWires),
    page("points/<ref:ref>/retire/", points.PointRetire),
    page("points/<ref:ref>/bring-back/", points.PointBringBack),
    page("properties/<ref:ref>/wires/lay/", wires.WireLay),
    path("wires/<ref:ref>/", wires.wire, name="wire"),
    page("wires/<ref:ref>/change/", wires.WireChange),
    page("wires/<ref:ref>/retire/", wires.WireRetire),
    page("wires/<ref:ref>/bring-back/", wires.WireBringBack),
    page("wires/<ref:ref>/out-of-use/", wires.WireOutOfUse),
    page("wires/<ref:ref>/use-again/", wires.WireUseAgain),
    page("wires/<ref:ref>/terminal/", wires.WireTerminal),
    page("wires/<ref:ref>/terminal/off/", wires.WireTerminalOff),
    path("stations/<ref:ref>/wire/", serving.station_wire, name="station_wire"),
    page("stations/<ref:ref>/wire/change/", serving.StationServe),
    page("stations/<ref:ref>/wire/spare/", serving.StationSpare),
    page("stations/<ref:ref>/wire/back/", serving.StationMoveBack),
    page("stations/<ref:ref>/wire/double/", serving.StationDouble),
    page("stations/<ref:ref>/wire/undouble/", serving.StationUndouble),
]
