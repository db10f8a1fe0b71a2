"""Text that a spreadsheet would take for a formula, made harmless, and read back as it was.

An export puts an apostrophe before such text, as people do who want it to stay text. One
apostrophe more goes before text that has some already, so that reading takes back exactly what
writing added. A lone dash is treated alike: in a file that is loaded it would erase.
"""

import re

_HARMFUL = re.compile(r"'*(?:[=+\-@\t\r＝＋－＠]|[–—−]\s*$)")


def defuse(text: str) -> str:
    """Return the text with an apostrophe before it where a spreadsheet would read a formula."""
    return f"'{text}" if _HARMFUL.match(text) else text


def undefuse(text: str) -> str:
    """Return the text that was made harmless; other text stays as it is."""
    return text[1:] if text.startswith("'") and _HARMFUL.match(text) else text
