"""Addresses of faults and of loading."""

from faults.billing import urls as billing
from faults.cases import urls as cases
from faults.casework import urls as casework
from faults.due import urls as due
from faults.load import urls as load
from faults.locating import urls as locating
from faults.notices import urls as notices
from faults.prices import urls as prices
from faults.promises import urls as promises
from faults.quotes import urls as quotes
from faults.readings import urls as readings
from faults.rota import urls as rota
from faults.rounds import urls as rounds
from faults.sheet import urls as sheet
from faults.waits import urls as waits
from faults.work import urls as work

app_name = "faults"

urlpatterns = [
    *billing.patterns,
    *cases.patterns,
    *casework.patterns,
    *due.patterns,
    *load.patterns,
    *locating.patterns,
    *notices.patterns,
    *prices.patterns,
    *promises.patterns,
    *quotes.patterns,
    *readings.patterns,
    *rota.patterns,
    *rounds.patterns,
    *sheet.patterns,
    *waits.patterns,
    *work.patterns,
]
