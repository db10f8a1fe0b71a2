"""The outbox: mails that were decided on in a transaction, sent afterwards, at least once."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class OutgoingMail(models.Model):
    """One mail. `key` makes it once; `message_id` is the same however often it is sent."""

    key = models.CharField(max_length=120, unique=True)
    message_id = models.CharField(max_length=200, unique=True)
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="+"
    )
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    made_at = models.DateTimeField()
    next_try_at = models.DateTimeField()
    claimed_until = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    sent_at = models.DateTimeField(null=True, blank=True)
    given_up_at = models.DateTimeField(null=True, blank=True)
    last_error = models.CharField(max_length=300, blank=True)

    class Meta:
        indexes = [
            models.Index(
                fields=["next_try_at"],
                name="outgoing_mail_to_send",
                condition=Q(sent_at__isnull=True, given_up_at__isnull=True),
            ),
        ]


class Beat(models.Model):
    """One kind of regular run: when it last began and ended well, and what went wrong."""

    name = models.CharField(max_length=40, unique=True)
    began_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    claimed_until = models.DateTimeField(null=True, blank=True)
    last_error = models.CharField(max_length=300, blank=True)
    failed_at = models.DateTimeField(null=True, blank=True)
    did = models.JSONField(default=dict, blank=True)
