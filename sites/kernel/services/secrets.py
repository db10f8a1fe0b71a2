"""Secrets in addresses: only a hash of one is kept."""

import hashlib


def hash_of(secret: str) -> str:
    """Return what is kept of a secret. It is long and random, so it needs no salt."""
    return hashlib.sha256(secret.encode()).hexdigest()
