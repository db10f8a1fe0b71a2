"""The scripts of the phone's engine, for pages that use it without signal."""

from django import template
from django.templatetags.static import static
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

register = template.Library()

# Everything that `index.js` imports: fetched at once, not one import after the other.
SCRIPTS = (
    "index",
    "assumptions",
    "belief",
    "costs",
    "data",
    "distances",
    "errors",
    "gradients",
    "ground",
    "jumpers",
    "line",
    "plain",
    "plan",
    "readings",
    "symptoms",
    "terrain",
    "walks",
)


def phone_engine_urls() -> list[str]:
    """Return the addresses of all scripts, the one to import first: a service worker keeps them."""
    return [static(f"faults/locating/{name}.js") for name in SCRIPTS]


@register.simple_tag
def phone_engine_preload() -> SafeString:
    """Write the links that let the browser fetch all scripts at once."""
    rows = ((url,) for url in phone_engine_urls())
    return format_html_join("\n", '<link rel="modulepreload" href="{}">', rows)
