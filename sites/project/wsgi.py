"""The entry for gunicorn: `gunicorn sites.project.wsgi`."""

import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.project.settings")

application = get_wsgi_application()
# Pages are imported now and not by the first request: `--preload` then does it for all workers.
get_resolver().url_patterns  # noqa: B018
