"""A phone in software: it makes passkeys and signs by them (W3C Web Authentication Level 3, 6.3.2 and 6.3.3)."""

import hashlib
import json
import secrets
from base64 import urlsafe_b64decode, urlsafe_b64encode
from dataclasses import dataclass, field
from typing import Any

import cbor2
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec

PRESENT, VERIFIED, ATTESTED = 0x01, 0x04, 0x40


def text_of(raw: bytes) -> str:
    return urlsafe_b64encode(raw).decode().rstrip("=")


def bytes_of(text: str) -> bytes:
    return urlsafe_b64decode(f"{text}===")


@dataclass
class Device:
    """It believes whatever page it is told it is on, as a browser would not."""

    origin: str = "http://localhost"
    site: str = "localhost"
    count: int = 0
    flags: int = PRESENT | VERIFIED
    credential_id: bytes = field(default_factory=lambda: secrets.token_bytes(32))
    handle: str = ""

    def __post_init__(self) -> None:
        self.key = ec.generate_private_key(ec.SECP256R1())

    def make(self, options: dict[str, Any]) -> str:
        """Its answer to what a page wants made."""
        self.handle = options["user"]["id"]
        data = self._data(self.flags | ATTESTED) + bytes(16)
        data += len(self.credential_id).to_bytes(2, "big") + self.credential_id + cbor2.dumps(self._cose())
        told = cbor2.dumps({"fmt": "none", "attStmt": {}, "authData": data})
        client = self._client("webauthn.create", options["challenge"])
        response = {
            "clientDataJSON": text_of(client),
            "attestationObject": text_of(told),
            "transports": ["internal"],
        }
        return self._answer(response)

    def sign(self, options: dict[str, Any]) -> str:
        """Its answer to what a page wants signed; it counts up, as a device that counts does."""
        self.count += 1
        data = self._data(self.flags)
        client = self._client("webauthn.get", options["challenge"])
        signature = self.key.sign(data + hashlib.sha256(client).digest(), ec.ECDSA(hashes.SHA256()))
        response = {
            "clientDataJSON": text_of(client),
            "authenticatorData": text_of(data),
            "signature": text_of(signature),
            "userHandle": self.handle,
        }
        return self._answer(response)

    def _answer(self, response: dict[str, Any]) -> str:
        name = text_of(self.credential_id)
        return json.dumps({"id": name, "rawId": name, "type": "public-key", "response": response})

    def _client(self, kind: str, challenge: str) -> bytes:
        return json.dumps({"type": kind, "challenge": challenge, "origin": self.origin}).encode()

    def _data(self, flags: int) -> bytes:
        return hashlib.sha256(self.site.encode()).digest() + bytes([flags]) + self.count.to_bytes(4, "big")

    def _cose(self) -> dict[int, Any]:
        """Its public key: EC2 on P-256 for ES256 (RFC 9053)."""
        point = self.key.public_key().public_numbers()
        return {1: 2, 3: -7, -1: 1, -2: point.x.to_bytes(32, "big"), -3: point.y.to_bytes(32, "big")}
