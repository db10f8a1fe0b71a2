"""What makes the sheet an app of its own on a phone: its service worker and its manifest."""

import hashlib
import json
from functools import cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control

WORKER = "faults/sheet/worker.js"
# Modules import each other by their plain names, so these are kept under plain names.
FOLDERS = ("faults/sheet", "faults/locating")
KEPT = {".js", ".css", ".svg", ".png"}
# What the first view needs: pages load these side by side instead of one after another.
FIRST_MODULES = ("main", "keep", "step", "view")
FIRST_STYLES = ("sites/sheet.css", "faults/sheet/job-sheet.css")
# Under the names by which pages load them.
HASHED = (*FIRST_STYLES, "faults/sheet/leaving.js", "sites/mark.svg")


def sheet_files() -> list[str]:
    """Return the names of all static files that a sheet needs without signal."""
    found = []
    for folder in FOLDERS:
        place = finders.find(folder)
        if place:
            root = Path(str(place))
            files = sorted(path for path in root.rglob("*") if path.suffix in KEPT)
            found += [f"{folder}/{path.relative_to(root).as_posix()}" for path in files]
    return [name for name in found if name != WORKER]


def _version() -> str:
    """Return a mark that changes when any of the files does."""
    return _digest() if settings.DEBUG else _digest_once()


@cache
def _digest_once() -> str:
    return _digest()


def _digest() -> str:
    mark = hashlib.sha256()
    for name in [*sheet_files(), *HASHED, WORKER]:
        place = finders.find(name)
        if place:
            mark.update(name.encode() + Path(str(place)).read_bytes())
    return mark.hexdigest()[:12]


def first_files() -> str:
    """Return a Link header: a browser asks for these before it has begun to read the page."""
    prefix = f"{settings.STATIC_URL}faults/sheet/"
    styles = [f"<{static(name)}>; rel=preload; as=style" for name in FIRST_STYLES]
    # A module's own loading is `crossorigin`; without it each would be loaded twice.
    scripts = [
        f"<{prefix}{name}.js>; rel=preload; as=script; crossorigin" for name in FIRST_MODULES
    ]
    return ", ".join([*styles, *scripts])


@cache_control(no_cache=True)
def sheet_worker(request: HttpRequest) -> HttpResponse:
    """The service worker, at the root so that it may serve every sheet."""
    place = finders.find(WORKER)
    script = Path(str(place)).read_text(encoding="utf-8")
    plain = [f"{settings.STATIC_URL}{name}" for name in sheet_files()]
    told = {
        "version": _version(),
        "files": plain + [static(name) for name in HASHED],
        "list": reverse("faults:sheets"),
    }
    text = f"const KEEP = {json.dumps(told)};\n{script}"
    answer = HttpResponse(text, content_type="text/javascript; charset=utf-8")
    answer["Service-Worker-Allowed"] = "/"
    return answer


@cache_control(max_age=3600)
def sheet_manifest(request: HttpRequest) -> HttpResponse:
    """What a phone asks for to put the sheets on its home screen."""
    icons = [
        {"src": static(f"faults/sheet/icon-{size}.png"), "sizes": f"{size}x{size}", "type": kind}
        for size, kind in ((192, "image/png"), (512, "image/png"))
    ]
    answer = JsonResponse(
        {
            "id": reverse("faults:sheets"),
            "name": _("Rejoin: job sheets"),
            "short_name": "Rejoin",
            "start_url": reverse("faults:sheets"),
            "scope": "/",
            "display": "standalone",
            "background_color": "#faf8f2",
            "theme_color": "#fffefa",
            "icons": icons,
        }
    )
    answer["Content-Type"] = "application/manifest+json"
    return answer
