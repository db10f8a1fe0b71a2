"""Settings: everything that differs between machines comes from `environment.py`."""

from celery.schedules import crontab
from django.urls import reverse_lazy
from django.utils.translation import gettext_lazy as _

from sites.project.content_policy import CONTENT_SECURITY_POLICY as CONTENT_SECURITY_POLICY
from sites.project.environment import CHECKOUT, read_environment
from sites.project.logs import logging_settings
from sites.project.passwords import AUTH_PASSWORD_VALIDATORS as AUTH_PASSWORD_VALIDATORS
from sites.project.passwords import PASSWORD_HASHERS as PASSWORD_HASHERS
from sites.project.rooms import BACKGROUND_SERVICES as BACKGROUND_SERVICES
from sites.project.rooms import in_each_room

ENVIRONMENT = read_environment()

BASE_DIR = CHECKOUT
DEBUG = ENVIRONMENT.debug
DEMO = ENVIRONMENT.demo
SECRET_KEY = ENVIRONMENT.secret_key
ALLOWED_HOSTS = ENVIRONMENT.allowed_hosts
REDIS_URL = ENVIRONMENT.redis_url
TRUSTED_PROXIES = ENVIRONMENT.trusted_proxies
LOG_JSON = ENVIRONMENT.log_json
LOGGING = logging_settings(as_json=LOG_JSON, mail=ENVIRONMENT.error_mail)
METRICS_TOKEN = ENVIRONMENT.metrics_token

INSTALLED_APPS = [
    "reports.apps.ReportsConfig",
    "faults.apps.FaultsConfig",
    "sites.apps.SitesConfig",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django_tables2",
    "django_filters",
    "django_htmx",
    "simple_history",
    "axes",
]

MIDDLEWARE = [
    # Whatever is logged from here on carries the id of its request.
    "sites.kernel.middleware.RequestIdMiddleware",
    # Before all others that ask: limits and locks count by the address that it finds.
    "sites.kernel.middleware.ProxyMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    # Before the user's language and time zone are set, and after the session has named a user.
    "sites.people.views.tokens.TokenMiddleware",
    "sites.kernel.middleware.ReadableQuery",
    "sites.kernel.middleware.LocalMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "sites.people.views.often.OftenMiddleware",
    "sites.people.views.guard.DoorMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "sites.project.urls"
WSGI_APPLICATION = "sites.project.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": in_each_room("templates"),
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "sites.kernel.context.sheet",
            ],
        },
    },
]

DATABASES = {"default": ENVIRONMENT.database}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# Progress of long work lives here and not in the database: the work may hold one long
# transaction, which would hide (PostgreSQL) or block (SQLite) its own progress.
CACHES = {
    "default": (
        {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": REDIS_URL}
        if REDIS_URL
        else {
            "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
            "LOCATION": str(ENVIRONMENT.state_folder / "cache"),
        }
    ),
}

CELERY_BROKER_URL = REDIS_URL or None
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_TASK_IGNORE_RESULT = True
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 3600,
    "socket_timeout": 5,
    "socket_connect_timeout": 2,
}
# A round that no worker took in time is left to the next one, so that none pile up.
CELERY_BEAT_SCHEDULE_FILENAME = str(ENVIRONMENT.state_folder / "beat-schedule")
CELERY_BEAT_SCHEDULE = {
    name: {"task": task, "schedule": every, "options": {"expires": expires_s}}
    for name, task, every, expires_s in (
        ("follow-ups", "faults.raise_follow_ups", crontab(minute="*/15"), 900),
        ("rest of the quarter hour", "faults.quarter_hour", crontab(minute="*/15"), 900),
        ("digests", "faults.send_digests", crontab(minute="1-59/15"), 900),
        ("mail", "faults.send_mail", crontab(minute="*/5"), 300),
        ("programs told", "reports.tell_programs", crontab(), 60),
        ("tidying", "faults.tidy", crontab(hour="3", minute="20"), 7200),
        ("learning", "faults.learn", crontab(hour="3", minute="40"), 7200),
        # Done once a day; what failed or was killed is tried again in the next hour.
        ("backup", "faults.back_up", crontab(hour="1-6", minute="50"), 3600),
    )
}

AUTH_USER_MODEL = "sites.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
LOGIN_URL = reverse_lazy("sites:sign_in")
LOGIN_REDIRECT_URL = reverse_lazy("sites:start")
LOGOUT_REDIRECT_URL = reverse_lazy("sites:sign_in")
# So many minutes after a sign-in the password or a code is asked for again, before people, prices,
# tokens, the register and money as files, and /admin/.
ASK_AGAIN_AFTER_MINUTES = 30
PASSWORD_RESET_TIMEOUT = 60 * 60 * 24
# A sign-in that is not used ends after two weeks, one that is used after a quarter of a year:
# phones are out for days without signal. Common practice, no source.
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
LONGEST_SIGN_IN_DAYS = 90

AXES_FAILURE_LIMIT = 6
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "sites/account/locked_out.html"
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False

LANGUAGE_CODE = "en"
LANGUAGES = [("en", _("English")), ("es", _("Spanish"))]
LOCALE_PATHS = [CHECKOUT / "sites" / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "static/"
STATIC_ROOT = ENVIRONMENT.state_folder / "static"
STATICFILES_DIRS = in_each_room("static")
STATICFILES_FINDERS = [
    "django.contrib.staticfiles.finders.FileSystemFinder",
    "django.contrib.staticfiles.finders.AppDirectoriesFinder",
    "sites.project.static.PackagedFiles",
]
STORAGES = {
    "default": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        # By itself Django lets everybody on the machine read them, whatever the umask says.
        "OPTIONS": {"file_permissions_mode": 0o640},
    },
    "staticfiles": {
        "BACKEND": (
            "sites.project.static.HashedFiles"
            if not DEBUG
            else "django.contrib.staticfiles.storage.StaticFilesStorage"
        ),
    },
}
MEDIA_ROOT = ENVIRONMENT.media_root
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
LARGEST_REGISTER_FILE_BYTES = 30 * 1024 * 1024
# What one register file may hold, and what the process that reads it may take: `seconds` are on
# the clock and stay below those after which a run counts as lost.
READING_A_FILE = {
    "rows": 1_000_000,
    "cells": 5_000_000,
    "memory_bytes": 2 * 1024 * 1024 * 1024,
    "cpu_seconds": 40,
    "seconds": 80,
}

# A new break this near to our own mend counts as the same place. Common practice, no source.
WARRANTY_NEAR_FT = 10.0

# Limits by which readings are judged, and what a valve draws. Common practice, from memory, no
# standard: put here what your own meters and valves teach. What is left out keeps its default.
READING_LIMITS = {
    "open_ohms": 10_000.0,
    "band": 0.20,
    "good_from_ohms": 20.0,
    "good_to_ohms": 60.0,
    "leak_megohms": 0.1,
    "watch_megohms": 0.5,
    "holding_amperes": 0.25,
    "starting_amperes": 0.4,
    "nominal_volts": 24.0,
}

# How rain counts ("half", "usda month" or "none"), and what a visit to change a timer's batteries
# takes. Conventions of the trade, no source: the first rule is the simplest.
EFFECTIVE_RAIN = "half"
BATTERY_VISIT_MINUTES = 20

# Days of rules that raise follow-ups, unless the database has others. Common practice, no source.
FOLLOW_UP_DAYS = {
    "battery": 180,
    "spell too long": 90,
    "first re-test": 14,
    "second re-test": 30,
    "settle": 21,
    "soak": 1,
    "notice clear": 0,
    "notice runs out": 3,
    "chase the client": 5,
    "promise slips": 30,
    "stays on": 0,
    "visit slips": 2,
    "central differs": 0,
    "check-up": 365,
    "disable in central": 2,
}
# Water takes 2 to 3 days to go down in clay: a university's page whose address was not seen.
SOAK_CLAY_DAYS = 2
# So many days ahead a follow-up is raised, and so many rows at a time are looked at.
FOLLOW_UP_AHEAD_DAYS = 30
FOLLOW_UP_CHUNK = 400
# A claim on a round or a mail ends after so many seconds, unless its holder tells that it lives.
ROUND_LEASE_S = 120
MAIL_LEASE_S = 300

# Programs that are told: networks of the own house that they may lie in, and whether http will do.
HOOK_NETWORKS = ENVIRONMENT.hook_networks
HOOKS_WITHOUT_TLS = ENVIRONMENT.hooks_without_tls
# Where central's lists are laid, and by whose rights they are taken in.
CENTRAL_FOLDER = ENVIRONMENT.central.folder
CENTRAL_FOLDER_USER = ENVIRONMENT.central.user
# Backups: the folder of the nightly ones, the key that seals them, and how many stay.
BACKUP_FOLDER = ENVIRONMENT.backups.folder
BACKUP_KEY_FILE = ENVIRONMENT.backups.key_file
BACKUP_KEEP_DAYS = ENVIRONMENT.backups.keep_days
BACKUP_KEEP_WEEKS = ENVIRONMENT.backups.keep_weeks

# The address that mails lead back to.
SITE_URL = ENVIRONMENT.site_url
EMAIL_TIMEOUT = 20
EMAIL_FILE_PATH = ENVIRONMENT.email.get("EMAIL_FILE_PATH") or None
EMAIL_BACKEND = ENVIRONMENT.email["EMAIL_BACKEND"]
EMAIL_HOST = ENVIRONMENT.email.get("EMAIL_HOST", "")
EMAIL_PORT = ENVIRONMENT.email.get("EMAIL_PORT") or 25
EMAIL_HOST_USER = ENVIRONMENT.email.get("EMAIL_HOST_USER", "")
EMAIL_HOST_PASSWORD = ENVIRONMENT.email.get("EMAIL_HOST_PASSWORD", "")
EMAIL_USE_TLS = ENVIRONMENT.email.get("EMAIL_USE_TLS", False)
EMAIL_USE_SSL = ENVIRONMENT.email.get("EMAIL_USE_SSL", False)
DEFAULT_FROM_EMAIL = ENVIRONMENT.email.get("DEFAULT_FROM_EMAIL") or "rejoin@localhost"

X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CONTENT_TYPE_NOSNIFF = True
CSRF_FAILURE_VIEW = "sites.kernel.views.errors.csrf_failure"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = ENVIRONMENT.in_production
if ENVIRONMENT.in_production:
    SECURE_SSL_REDIRECT = True
    # Monitoring calls them directly, not through the proxy.
    SECURE_REDIRECT_EXEMPT = [r"^(healthz|metrics)$"]
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 60 * 60 * 24 * 365
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    # So named, a browser takes them over TLS, of this host alone, and from no other of the domain.
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-sessionid", "__Host-csrftoken"

FORM_RENDERER = "sites.kernel.forms.renderer.FormRenderer"
DJANGO_TABLES2_TEMPLATE = "sites/_table.html"
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
