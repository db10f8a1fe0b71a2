"""Addresses of stopgaps."""

from django.urls import path

from sites.stopgaps import views as stopgaps

patterns = [
    path("properties/<ref:ref>/stopgaps/fit/", stopgaps.fit, name="stopgap_fit"),
    path("stopgaps/<ref:ref>/", stopgaps.stopgap, name="stopgap"),
    path("stopgaps/<ref:ref>/end/", stopgaps.stopgap_end, name="stopgap_end"),
    path("stopgaps/<ref:ref>/reopen/", stopgaps.stopgap_reopen, name="stopgap_reopen"),
    path("stopgaps/<ref:ref>/correct/", stopgaps.stopgap_correct, name="stopgap_correct"),
    path("stations/<ref:ref>/main-valve/", stopgaps.station_main_valve, name="station_main_valve"),
    path("stopgaps/<ref:ref>/note/", stopgaps.stopgap_note, name="stopgap_note"),
    path("devices/<ref:ref>/", stopgaps.device, name="device"),
    path("devices/<ref:ref>/battery/", stopgaps.device_battery, name="device_battery"),
]
