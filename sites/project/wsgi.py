"""The entry for gunicorn: `gunicorn sites.project.wsgi`."""

import gc
import os

# Nothing of what is read while starting is garbage: looking for some takes a fifth of the start.
gc.disable()

from django.core.wsgi import get_wsgi_application  # noqa: E402
from django.urls import get_resolver  # noqa: E402

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.project.settings")

application = get_wsgi_application()
# Pages are imported now and not by the first request: `--preload` then does it for all workers.
get_resolver().url_patterns  # noqa: B018
# What is loaded stays: collections skip it, and workers go on sharing its memory.
gc.freeze()
# What a request makes is mostly freed without a collection, and one every 700 objects took a
# quarter of the time of a page that reads many rows.
gc.set_threshold(50_000, 20, 50)
gc.enable()
