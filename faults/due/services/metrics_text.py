"""Numbers as monitoring reads them: the text format that Prometheus made common.

Source: the exposition format 0.0.4, from memory. Every number is read at the moment of asking, so
all are gauges, and a library that counts in the memory of one process would be no help.
"""

from collections.abc import Iterable
from dataclasses import dataclass

CONTENT_TYPE = "text/plain; version=0.0.4; charset=utf-8"

Labels = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Metric:
    """One number or several of a kind, each known by its labels.

    A label names a round, a state, a disk: never a person, a client or a property. What is not
    known has no sample, so that nobody takes it for 0.

    Attributes:
        name: with its unit at the end, where it has one.
        means: one line for who reads the numbers.
    """

    name: str
    means: str
    samples: tuple[tuple[Labels, float], ...]


def metric(name: str, means: str, value: float | None) -> Metric:
    """Return a metric of one number, or of none where it is not known."""
    return Metric(name, means, () if value is None else (((), value),))


def metric_by(label: str, name: str, means: str, values: dict[str, float]) -> Metric:
    """Return a metric with one number for each value of a label."""
    return Metric(name, means, tuple((((label, key),), n) for key, n in values.items()))


def as_text(metrics: Iterable[Metric]) -> str:
    """Return all of them, without those of which nothing is known."""
    return "".join(_lines(each) for each in metrics if each.samples)


def _lines(each: Metric) -> str:
    means = each.means.replace("\\", r"\\").replace("\n", r"\n")
    head = f"# HELP {each.name} {means}\n# TYPE {each.name} gauge\n"
    return head + "".join(
        f"{each.name}{_labels(labels)} {value!r}\n" for labels, value in each.samples
    )


def _labels(labels: Labels) -> str:
    if not labels:
        return ""
    return "{" + ",".join(f'{name}="{_escaped(value)}"' for name, value in labels) + "}"


def _escaped(value: str) -> str:
    return value.replace("\\", r"\\").replace("\n", r"\n").replace('"', r"\"")
