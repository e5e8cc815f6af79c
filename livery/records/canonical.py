"""One spelling of a record, so that its hash and signature mean something."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping


def canonical(record: Mapping[str, object]) -> bytes:
    """A record as bytes: JSON, keys sorted, no spaces, UTF-8, no NaN.

    Raises:
        ValueError: a number is not finite, or a value has no JSON form.

    Source: after [rfc-8785]; whole numbers and text are spelt as it says.
    """
    try:
        text = json.dumps(
            record, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
        )
        return text.encode("utf-8")
    except (TypeError, UnicodeEncodeError) as error:
        raise ValueError(str(error)) from error


def sha256(data: bytes) -> str:
    """SHA-256 as 64 lower-case hexadecimal digits.

    Source: [fips-180-4]
    """
    return hashlib.sha256(data).hexdigest()
