"""This process's own pages, served to a browser, and a session in it."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.core.servers.basehttp import ThreadedWSGIServer
from django.core.wsgi import get_wsgi_application
from django.test.testcases import QuietWSGIRequestHandler
from django.test.utils import override_settings
from playwright.sync_api import BrowserContext

from sites.models import User


class _OneRequestEach(QuietWSGIRequestHandler):
    """Closes after each answer: the server's end must not wait for a browser's idle lines."""

    protocol_version = "HTTP/1.0"


@contextmanager
def site() -> Iterator[str]:
    """Serve the pages as production does, static files through WhiteNoise; yield the address.

    Django's own live server finds static files by their plain names, so that it would hide a
    wrong hashed name.
    """
    server = ThreadedWSGIServer(("127.0.0.1", 0), _OneRequestEach)
    with override_settings(WHITENOISE_AUTOREFRESH=False):
        server.set_app(get_wsgi_application())
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join(timeout=10)


def sign_in(context: BrowserContext, user: User, url: str) -> None:
    """Give the browser a session of this user, without a trip through the sign-in page."""
    session = SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.create()
    assert session.session_key
    context.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": session.session_key, "url": url}]
    )
