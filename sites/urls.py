"""Addresses of the register."""

from django.urls import path

from sites.ground import urls as ground
from sites.kernel.views import acted
from sites.people import urls as people
from sites.reconcile import urls as reconcile
from sites.register import urls as register
from sites.stopgaps import urls as stopgaps
from sites.water import urls as water
from sites.wires import urls as wires

app_name = "sites"

urlpatterns = [
    *ground.patterns,
    *people.patterns,
    *reconcile.patterns,
    *register.patterns,
    *stopgaps.patterns,
    *water.patterns,
    *wires.patterns,
    # What was done to ticked rows of any list.
    path("acts/<ref:ref>/", acted.ticked_act, name="ticked_act"),
    path("acts/<ref:ref>/take-back/", acted.ticked_act_take_back, name="ticked_act_take_back"),
]
