"""Ed25519 keys: who signed.

Source: [rfc-8032], through the cryptography library.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from cryptography.exceptions import InternalError, InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey


@dataclass(frozen=True, slots=True)
class PublicKey:
    """A public key as 64 hexadecimal digits."""

    hex: str


@dataclass(frozen=True, slots=True)
class SecretKey:
    """A secret key; never printed."""

    _key: Ed25519PrivateKey = field(repr=False)

    @classmethod
    def generate(cls) -> SecretKey:
        """A new key from the system's randomness."""
        return cls(Ed25519PrivateKey.generate())

    @classmethod
    def from_pem(cls, pem: bytes, passphrase: str | None = None) -> SecretKey:
        """Read a PKCS #8 key.

        Raises:
            ValueError: not an Ed25519 key, or the passphrase does not open it.
        """
        secret = passphrase.encode("utf-8") if passphrase else None
        try:
            key = serialization.load_pem_private_key(pem, secret)
        except (TypeError, UnsupportedAlgorithm, InternalError) as error:
            # A passphrase missing, or given for an open key; or a key that OpenSSL chokes on.
            raise ValueError(str(error)) from error
        if not isinstance(key, Ed25519PrivateKey):
            raise ValueError("not an Ed25519 key")
        return cls(key)

    def to_pem(self, passphrase: str | None = None) -> bytes:
        """The key as PKCS #8 PEM, encrypted when a passphrase is given."""
        lock: serialization.KeySerializationEncryption = serialization.NoEncryption()
        if passphrase:
            lock = serialization.BestAvailableEncryption(passphrase.encode("utf-8"))
        return self._key.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, lock
        )

    @property
    def public(self) -> PublicKey:
        """The key others check signatures with."""
        return PublicKey(self._key.public_key().public_bytes_raw().hex())

    def sign(self, data: bytes) -> str:
        """A signature as 128 hexadecimal digits; the same for the same data."""
        return self._key.sign(data).hex()


def is_signed_by(key: PublicKey, data: bytes, signature: str) -> bool:
    """Whether ``signature`` over ``data`` was made with the secret half of ``key``."""
    try:
        public = Ed25519PublicKey.from_public_bytes(bytes.fromhex(key.hex))
        public.verify(bytes.fromhex(signature), data)
    except (InvalidSignature, ValueError):
        return False
    return True
