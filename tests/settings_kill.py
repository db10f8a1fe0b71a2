"""Settings of processes that tests kill: the product's own, in a hurry, with a sink for mails."""

from datetime import timedelta

from sites.project.settings import *  # noqa: F403
from sites.project.settings import CELERY_BEAT_SCHEDULE as PRODUCTS_OWN
from tests.bench.kills.clock import follow

# The harness moves the clock of these programs.
follow()
# A claim of a killed process ends soon, and rounds take many small steps.
ROUND_LEASE_S = 2
MAIL_LEASE_S = 2
FOLLOW_UP_CHUNK = 4
EMAIL_BACKEND = "tests.services_real.mail_sink.Sink"
# The product's tasks, scheduled each second instead of each quarter of an hour.
CELERY_BEAT_SCHEDULE = {
    name: {**entry, "schedule": timedelta(seconds=1)} for name, entry in PRODUCTS_OWN.items()
}
