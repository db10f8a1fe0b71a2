"""Addresses of wires."""

from django.urls import path

from sites.wires.views import points, serving, wires

patterns = [
    path("properties/<ref:ref>/points/add/", points.point_add, name="point_add"),
    path("points/<ref:ref>/", points.point, name="point"),
    path("points/<ref:ref>/change/", points.point_change, name="point_change"),
    path("points/<ref:ref>/position/", points.point_move, name="point_move"),
    path("points/<ref:ref>/wires/", points.point_wires, name="point_wires"),
    path("points/<ref:ref>/retire/", points.point_retire, name="point_retire"),
    path("points/<ref:ref>/bring-back/", points.point_bring_back, name="point_bring_back"),
    path("properties/<ref:ref>/wires/lay/", wires.wire_lay, name="wire_lay"),
    path("wires/<ref:ref>/", wires.wire, name="wire"),
    path("wires/<ref:ref>/change/", wires.wire_change, name="wire_change"),
    path("wires/<ref:ref>/retire/", wires.wire_retire, name="wire_retire"),
    path("wires/<ref:ref>/bring-back/", wires.wire_bring_back, name="wire_bring_back"),
    path("wires/<ref:ref>/out-of-use/", wires.wire_out_of_use, name="wire_out_of_use"),
    path("wires/<ref:ref>/use-again/", wires.wire_use_again, name="wire_use_again"),
    path("wires/<ref:ref>/terminal/", wires.wire_terminal, name="wire_terminal"),
    path("wires/<ref:ref>/terminal/off/", wires.wire_terminal_off, name="wire_terminal_off"),
    path("stations/<ref:ref>/wire/", serving.station_wire, name="station_wire"),
    path("stations/<ref:ref>/wire/change/", serving.station_serve, name="station_serve"),
    path("stations/<ref:ref>/wire/spare/", serving.station_spare, name="station_spare"),
    path("stations/<ref:ref>/wire/back/", serving.station_move_back, name="station_move_back"),
    path("stations/<ref:ref>/wire/double/", serving.station_double, name="station_double"),
    path("stations/<ref:ref>/wire/undouble/", serving.station_undouble, name="station_undouble"),
]
