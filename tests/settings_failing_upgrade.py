"""The product's own settings, with an app whose migration breaks."""

from sites.project.settings import *  # noqa: F403
from sites.project.settings import INSTALLED_APPS as PRODUCTS_OWN

INSTALLED_APPS = [*PRODUCTS_OWN, "tests.failing_upgrade.apps.FailingUpgradeConfig"]
