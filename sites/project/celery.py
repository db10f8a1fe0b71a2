"""The entry for a worker: `celery -A sites.project.celery worker`."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.project.settings")

app = Celery("rejoin")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["sites", "faults", "reports"])
