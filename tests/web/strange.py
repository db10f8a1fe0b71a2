"""Values that nobody means, and some that somebody does: for fields, queries and addresses.

Chosen from memory of what breaks web programs, no source.
"""

import random
from datetime import date

TEXTS = (
    *("", " ", "\x00", "a\x00b", "\ud83d", "\udfff x", "\ufeff", "\u202eabc", "\u200f12\u200e"),
    *("<script>alert(1)</script>", "'; DROP TABLE sites_user; --", "%s %d %(n)s {0} {x}", "\\"),
    *(
        "a" * 300,
        "ü" * 5_000,
        "x" * 70_000,
        "line\r\nline",
        "\t",
        "=1+1",
        "-",
        "é\u0301",
        "🚰" * 99,
    ),
    *("null", "None", "true", "[]", "{}", "[[[[", '{"a": NaN}', "../../etc/passwd", "%00", "%zz"),
)
NUMBERS = (
    *("0", "-0", "-1", "1", "12", "1.5", "1,5", "1.000,5", "1e3", "1e308", "1e309", "-1e309"),
    *("NaN", "nan", "sNaN", "-NaN", "Infinity", "-inf", "٣", "١٢٫٥", "１２", "²", "1_000", "0x10"),
    *("32767", "32768", "2147483647", "2147483648", "-2147483649", "9223372036854775807"),
    *("9223372036854775808", "-9223372036854775809", "9" * 40, "9" * 5_000, "0." + "0" * 400 + "1"),
    *("1e-400", "99999999.99", "1E+99", "--1", "1-", "$5", "12 ft", "3'6\"", "007"),
)
MOMENTS = (
    *("0001-01-01", "0000-00-00", "1899-12-31", "1949-12-31", "1950-01-01", "9999-12-31"),
    *("10000-01-01", "2026-02-29", "2024-02-29", "2026-02-30", "2026-13-01", "2026-W53-1", "today"),
    *(
        "٢٠٢٦-٠١-٠٢",
        "-2026-01-01",
        "2026-1-1",
        "01/02/2026",
        "2026-03-08T02:30",
        "2026-11-01T01:30",
    ),
    *("0001-01-01T00:00", "9999-12-31T23:59", "9999-12-31T23:59:59.999999+14:00", "24:00", "25:61"),
    *("00:00", "2026-06-01T10:00Z", "2026-06-01T10:00-23:59", "2026-06", "2026", "99", "1e9"),
)
LISTS = ("1,2,3", "1;2", "a=b", "1&2", ",", ",,,", "1,,2", "-name", "name,-name", "..", "1-2", "*")
KEYS = ("zzzzzzzzzz", "0", "-1", "999999999", "00000000-0000-0000-0000-000000000000", "bcdfghjkmn")
PLACES = ("90.0,180.0", "91,181", "-90,-180", "NaN,NaN", "1e400,0", "0,0", "[1]", "1")
ANY = (*TEXTS, *NUMBERS, *MOMENTS, *LISTS, *KEYS, *PLACES)


def any_value(draw: random.Random) -> str:
    """Return a value of any kind: of each kind as often, however many there are of it."""
    return draw.choice(draw.choice((TEXTS, NUMBERS, MOMENTS, LISTS, KEYS, PLACES)))


def strange_value(draw: random.Random, kind: str) -> str:
    """Return a value that a field of this kind may not be ready for.

    Args:
        kind: as a form's page names it (`number`, `date`, `select`, ...).
    """
    fitting = {
        "number": NUMBERS,
        "date": MOMENTS,
        "datetime-local": MOMENTS,
        "time": MOMENTS,
        "month": MOMENTS,
        "select": (*KEYS, *NUMBERS),
        "hidden": (*KEYS, *NUMBERS, *TEXTS),
        "checkbox": ("", "on", "off", "2", "\x00"),
    }.get(kind, TEXTS)
    return draw.choice(fitting) if draw.random() < 0.7 else any_value(draw)


def plausible_value(draw: random.Random, kind: str, options: tuple[str, ...], today: date) -> str:
    """Return what a person may give, so that a form lets its other fields through to the verb."""
    if options:
        return draw.choice(options)
    return {
        "number": draw.choice(("1", "2", "12", "30")),
        "date": today.isoformat(),
        "datetime-local": f"{today.isoformat()}T10:00",
        "time": "10:00",
        "month": today.isoformat()[:7],
        "checkbox": "on",
        "email": "somebody@example.org",
        "url": "https://example.org/x",
        "tel": "555 0100",
        "password": "a-long-pass-phrase-7",
        "color": "#2266aa",
    }.get(kind, draw.choice(("word", "some words", "12", "A-1")))


def strange_file(draw: random.Random) -> tuple[str, bytes]:
    """Return the name and the bytes of a file that a field for files may be given."""
    name = draw.choice(
        ("a.csv", "a.xlsx", "a.jpg", "a.png", "a.pdf", "a.geojson", "a", "..", "a.svg")
    )
    bodies = (
        b"",
        b"\x00" * 40,
        b"\xff\xd8\xff\xe0 cut short",
        b"\x89PNG\r\n\x1a\n",
        b"PK\x03\x04",
        b"%PDF-1.4",
        b"property code,station number\nx,1\n",
        b"day;et\n2026-01-01;NaN\n",
        b'{"type": "FeatureCollection", "features": [{"geometry": null}]}',
        b'{"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {}, '
        b'"geometry": {"type": "Point", "coordinates": [1e400, "x"]}}]}',
        b"<svg xmlns='http://www.w3.org/2000/svg' onload='x()'/>",
        draw.randbytes(300),
    )
    return name, draw.choice(bodies)
