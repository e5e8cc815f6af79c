"""Memory that is freed goes back to the system, so that long work takes no more than it needs."""

from __future__ import annotations

import ctypes
import sys
from contextlib import suppress

TIDIES = 16  # tasks between which freed memory is kept for the next; workshop choice


def give_back() -> None:
    """Return freed memory, which glibc would keep for later; elsewhere nothing."""
    if sys.platform == "linux":
        with suppress(OSError, AttributeError):
            ctypes.CDLL(None).malloc_trim(0)
