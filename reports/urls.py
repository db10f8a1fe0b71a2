"""Addresses of the pages that combine."""

from reports.ahead import urls as ahead
from reports.api import urls as api
from reports.decisions import urls as decisions
from reports.files import urls as files
from reports.goals import urls as goals
from reports.hooks import urls as hooks
from reports.hotspots import urls as hotspots
from reports.issued import urls as issued
from reports.lasting import urls as lasting
from reports.meter import urls as meter
from reports.off_central import urls as off_central
from reports.places import urls as places
from reports.returning import urls as returning
from reports.search import urls as search

app_name = "reports"

urlpatterns = [
    *ahead.patterns,
    *api.patterns,
    *decisions.patterns,
    *files.patterns,
    *goals.patterns,
    *hooks.patterns,
    *hotspots.patterns,
    *issued.patterns,
    *lasting.patterns,
    *meter.patterns,
    *off_central.patterns,
    *places.patterns,
    *returning.patterns,
    *search.patterns,
]
