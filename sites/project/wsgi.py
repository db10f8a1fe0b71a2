"""The entry for gunicorn: `gunicorn sites.project.wsgi`."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.project.settings")

application = get_wsgi_application()
