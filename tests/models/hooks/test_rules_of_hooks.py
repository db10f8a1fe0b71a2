"""Rules of the database about programs that are told, each by its name."""

import pytest

from reports.models import WhyOff
from tests import make, make_hooks
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def test_receiver_limited_to_a_client_or_a_property_not_both() -> None:
    row, where = make_hooks.receiver(make.user()), make.place()
    row.client, row.property = where.client, where
    with refused_by("receiver_limited_to_a_client_or_a_property_not_both"):
        row.save()


def test_receiver_switched_off_with_a_reason() -> None:
    row = make_hooks.receiver(make.user())
    row.off_at = make.NOW
    with refused_by("receiver_switched_off_with_a_reason"):
        row.save()
    row.off_at, row.why_off = None, WhyOff.GONE
    with refused_by("receiver_switched_off_with_a_reason"):
        row.save()
    row.off_at = make.NOW
    row.save()


def test_delivery_accepted_or_given_up_not_both() -> None:
    row = make_hooks.delivery(make_hooks.receiver(make.user()), sent_at=make.NOW)
    row.given_up_at = make.NOW
    with refused_by("delivery_accepted_or_given_up_not_both"):
        row.save()


def test_receiver_secret_before_signs_until_a_time() -> None:
    row = make_hooks.receiver(make.user())
    row.before_until = make.NOW
    with refused_by("receiver_secret_before_signs_until_a_time"):
        row.save()
    row.sealed_before, row.before_until = "sealed", None
    with refused_by("receiver_secret_before_signs_until_a_time"):
        row.save()
    row.before_until = make.NOW
    row.save()
