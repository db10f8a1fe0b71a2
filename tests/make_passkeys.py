"""A device that holds one key pair and answers as WebAuthn says, for tests without a browser.

Source of the layouts: Web Authentication, W3C, level 2: 6.1 authenticator data, 6.5.1 attested
credential data, 5.8.1 client data, 8.7 attestation "none"; RFC 9053 for the key (ES256).
"""

import hashlib
import json
import os
import struct
from typing import Any

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from fido2 import cbor
from fido2.utils import websafe_encode

PRESENT, HOLDS_A_KEY = 0x01, 0x40


class Device:
    """One device; `signed` is its count, which some leave at 0."""

    def __init__(self, *, counts: bool = True) -> None:
        self.key = ec.generate_private_key(ec.SECP256R1())
        self.id = os.urandom(16)
        self.counts, self.signed = counts, 0

    def make(self, options: dict[str, Any], *, origin: str) -> str:
        """Answer a page that asks for a new key pair."""
        asked = options["publicKey"]
        numbers = self.key.public_key().public_numbers()
        key = {
            1: 2, 3: -7, -1: 1, -2: numbers.x.to_bytes(32, "big"),
            -3: numbers.y.to_bytes(32, "big"),
        }  # fmt: skip
        held = bytes(16) + struct.pack(">H", len(self.id)) + self.id + cbor.encode(key)
        data = self._data(asked["rp"]["id"], PRESENT | HOLDS_A_KEY) + held
        attested = cbor.encode({"fmt": "none", "attStmt": {}, "authData": data})
        return self._answer(
            clientDataJSON=_client("webauthn.create", asked["challenge"], origin),
            attestationObject=attested,
        )

    def show(self, options: dict[str, Any], *, origin: str, flags: int = PRESENT) -> str:
        """Answer a page that asks for a signature."""
        asked = options["publicKey"]
        self.signed += self.counts
        data = self._data(asked["rpId"], flags)
        client = _client("webauthn.get", asked["challenge"], origin)
        signs = data + hashlib.sha256(client).digest()
        signature = self.key.sign(signs, ec.ECDSA(hashes.SHA256()))
        return self._answer(clientDataJSON=client, authenticatorData=data, signature=signature)

    def _data(self, host: str, flags: int) -> bytes:
        return hashlib.sha256(host.encode()).digest() + struct.pack(">BI", flags, self.signed)

    def _answer(self, **response: bytes) -> str:
        plain = {name: websafe_encode(value) for name, value in response.items()}
        named = {"id": websafe_encode(self.id), "rawId": websafe_encode(self.id)}
        return json.dumps({**named, "type": "public-key", "response": plain})


def _client(kind: str, challenge: str, origin: str) -> bytes:
    return json.dumps({"type": kind, "challenge": challenge, "origin": origin}).encode()
