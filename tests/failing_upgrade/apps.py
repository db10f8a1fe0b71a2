"""It comes last of all apps, so that the others are migrated before it breaks."""

from django.apps import AppConfig


class FailingUpgradeConfig(AppConfig):
    """Its label is the last in the alphabet, by which migrations are done."""

    name = "tests.failing_upgrade"
    label = "zz_failing_upgrade"
