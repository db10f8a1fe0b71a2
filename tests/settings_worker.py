"""Settings of workers that tests start: the product's own, with services that only tests call."""

from sites.project.settings import *  # noqa: F403
from sites.project.settings import BACKGROUND_SERVICES as PRODUCTS_OWN

SERVICES = {
    f"test {name}": f"tests.background.{name}"
    for name in ("add_up", "refuse", "break_down", "write_and_wait", "write_slowly")
}
BACKGROUND_SERVICES = PRODUCTS_OWN | SERVICES
