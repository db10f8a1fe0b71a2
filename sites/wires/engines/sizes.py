"""Wire sizes as people write them."""

import re

from sites.wires.engines.copper import UnableToCompute, WireSize

_AWG = re.compile(r"(?:#|no\.?\s*)?(\d{1,2})\s*(?:awg|ga(?:uge)?)?", re.IGNORECASE)
_MM2 = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:mm2|mm²|sq\.?\s*mm|qmm)", re.IGNORECASE)


def size_from_words(words: str) -> WireSize | None:
    """Return the size that "14 AWG", "#14", "14" or "2.5 mm2" names, or None."""
    text = words.strip()
    try:
        if found := _MM2.fullmatch(text):
            return WireSize(mm2=float(found[1].replace(",", ".")))
        if found := _AWG.fullmatch(text):
            return WireSize(awg=int(found[1]))
    except UnableToCompute:
        return None
    return None
