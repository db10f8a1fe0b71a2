"""What pages count over whole properties, kept so that they need not count again."""

from typing import Any, Self

from django.db import models
from django.db.models import F


class SummaryQuerySet(models.QuerySet["PropertySummary"]):
    """Reads over summaries."""

    def current(self) -> Self:
        """Keep those that nothing has touched since they were made."""
        return self.filter(made_of=F("touched"))


class PropertySummary(models.Model):
    """Derived figures of one property on one subject.

    Whatever they follow from raises `touched` in its own transaction. Figures are current while
    `made_of`, the value of `touched` that they were made of, is the same.
    """

    property = models.ForeignKey("sites.Property", on_delete=models.CASCADE, related_name="+")
    subject = models.CharField(max_length=20)
    touched = models.PositiveBigIntegerField(default=0)
    made_of = models.PositiveBigIntegerField(null=True)
    made_at = models.DateTimeField(null=True)
    figures: Any = models.JSONField(default=dict)
    # Long lists of numbers, which JSON would make slow to read.
    columns = models.BinaryField(default=b"")

    objects = SummaryQuerySet.as_manager()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["property", "subject"], name="summary_once_a_property_and_subject"
            ),
        )

    def __str__(self) -> str:
        return f"{self.subject} of {self.property_id}"
