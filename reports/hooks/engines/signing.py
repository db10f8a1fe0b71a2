"""The sign by which a program knows that what it is told comes from here, and is of now."""

import hmac
from hashlib import sha256

VERSION = "v1"


def signature(secret: str, *, moment: str, body: bytes) -> str:
    """Return the sign over a moment, a full stop and a body.

    Args:
        moment: seconds since 1970 as text, as it is sent beside.

    Source: HMAC, RFC 2104, with SHA-256.
    """
    made = hmac.new(secret.encode(), moment.encode() + b"." + body, sha256)
    return f"{VERSION}={made.hexdigest()}"
