"""The suite's settings: the product's own, in a surrounding that nobody's machine reaches.

Only DATABASE_URL is let through, so that the same tests run on SQLite and on PostgreSQL. The
state folder is new for each process and goes when the process ends.
"""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

STATE = Path(tempfile.mkdtemp(prefix="rejoin-tests-"))
atexit.register(shutil.rmtree, STATE, ignore_errors=True)

for _name in (
    "ALLOWED_HOSTS",
    "BACKUP_FOLDER",
    "BACKUP_KEY_FILE",
    "CENTRAL_FOLDER",
    "CENTRAL_FOLDER_USER",
    "DEBUG",
    "EMAIL_URL",
    "ERROR_MAIL_TO",
    "LOG_JSON",
    "MEDIA_ROOT",
    "METRICS_TOKEN",
    "REDIS_URL",
    "REJOIN_DEMO",
    "SECRET_KEY",
    "SITE_URL",
):
    os.environ.pop(_name, None)
os.environ["REJOIN_STATE"] = str(STATE)

from sites.project import settings as _product  # noqa: E402
from tests.settings_worker import SERVICES  # noqa: E402

globals().update({name: getattr(_product, name) for name in dir(_product) if name.isupper()})

BACKGROUND_SERVICES = _product.BACKGROUND_SERVICES | SERVICES

# A real password hash costs half a second on purpose; tests sign in often.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]

# Each test client loads the middleware, which would list and open all static files again.
WHITENOISE_AUTOREFRESH = True

# On a file, because background threads and the browser's server open connections of their own,
# which a database in memory would not show to them as another process would see it.
if _product.DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    _product.DATABASES["default"]["NAME"] = str(STATE / "test.sqlite3")
