"""Wire sizes as people write them."""

import re

from sites.wires.engines.copper import UnableToCompute, WireSize

# After the size may stand how many conductors the cable has (18/5, 14-1), and what it is made of.
# Not two figures but 13: 18/14 are the sizes of two wires.
_AWG = re.compile(
    r"(?:awg\s*|#\s*|no\.?\s*)?(\d{1,2})\s*(?:awg|ga(?:uge)?)?"
    r"(?:\s*[/-]\s*(?:[1-9]|13))?(?:\s*(?:awg|ga(?:uge)?))?"
    r"(?:[\s,]+(?:solid|copper|cu|uf|direct burial))*",
    re.IGNORECASE,
)
_MM2 = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:mm2|mm²|sq\.?\s*mm|qmm)", re.IGNORECASE)


def size_from_words(words: str) -> WireSize | None:
    """Return the size that "14 AWG", "#14", "18/5 solid", "14" or "2.5 mm2" names, or None."""
    text = words.strip()
    try:
        if found := _MM2.fullmatch(text):
            return WireSize(mm2=float(found[1].replace(",", ".")))
        if found := _AWG.fullmatch(text):
            return WireSize(awg=int(found[1]))
    except UnableToCompute:
        return None
    return None
