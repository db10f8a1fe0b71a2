"""What a database can keep of JSON that a phone sent.

Cut text, a NUL, a number that is none and endless nesting are valid for JSON's reader and refused
by PostgreSQL. They are replaced, so that the refusal itself can be kept and read by the office.
"""

import math
import re
from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

DEEPEST = 8
LONGEST = 20_000
MARK = "\ufffd"
# NUL, and halves of signs that stand without their other half.
UNSTORABLE = re.compile("[\x00\ud800-\udfff]")


def storable(body: Mapping[str, object]) -> tuple[dict[str, object], str]:
    """Return the values as they can be kept, and why they were changed ("" where they were not)."""
    troubles: list[str] = []
    kept = _clean(body, 0, troubles)
    return kept, troubles[0] if troubles else ""


def _clean(value: object, depth: int, troubles: list[str]) -> Any:
    if isinstance(value, str):
        return _clean_words(value, troubles)
    if isinstance(value, float) and not math.isfinite(value):
        troubles.append(_("A number in it is none. Enter it again."))
        return str(value)
    if isinstance(value, int) and abs(value) > 1e18:
        troubles.append(_("A number in it is too large. Enter it again."))
        return str(value)[:40]
    if isinstance(value, Mapping | list) and depth >= DEEPEST:
        troubles.append(_("It is nested too deep to be a thing of a job sheet."))
        return MARK
    if isinstance(value, Mapping):
        return {
            _clean_words(str(key), troubles): _clean(each, depth + 1, troubles)
            for key, each in value.items()
        }
    if isinstance(value, list):
        return [_clean(each, depth + 1, troubles) for each in value]
    return value


def _clean_words(words: str, troubles: list[str]) -> str:
    clean = UNSTORABLE.sub(MARK, words)
    if clean != words:
        troubles.append(_("A text in it was cut within a sign. Enter it again without that sign."))
    if len(clean) > LONGEST:
        troubles.append(_("A text in it is too long. Shorten it, and enter it again."))
    return clean[:LONGEST]
