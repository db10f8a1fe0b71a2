"""Addresses of the register."""

from sites.ground import urls as ground
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
]
