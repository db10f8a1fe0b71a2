"""Addresses of stopgaps."""

from django.urls import path

from sites.kernel.views.verb_views import page
from sites.stopgaps import views as stopgaps

patterns = [
    page("properties/<ref:ref>/stopgaps/fit/", stopgaps.StopgapFit),
    path("stopgaps/<ref:ref>/", stopgaps.stopgap, name="stopgap"),
    page("stopgaps/<ref:ref>/end/", stopgaps.StopgapEnd),
    page("stopgaps/<ref:ref>/reopen/", stopgaps.StopgapReopen),
    page("stopgaps/<ref:ref>/correct/", stopgaps.StopgapCorrect),
    page("stations/<ref:ref>/main-valve/", stopgaps.StationMainValve),
    page("stopgaps/<ref:ref>/note/", stopgaps.StopgapNote),
    path("devices/<ref:ref>/", stopgaps.device, name="device"),
    page("devices/<ref:ref>/battery/", stopgaps.DeviceBattery),
]
