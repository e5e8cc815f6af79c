"""How long the pages wait for a request that comes slowly, so that nobody holds their place."""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_S = 20.0  # for a head, from its first byte or the connection's start; workshop choice


class PatientProtocol(H11Protocol):
    """Hangs up on a connection whose next request does not come whole in time."""

    _late: asyncio.TimerHandle | None = None

    def connection_made(self, transport: Any) -> None:
        """A connection begins."""
        super().connection_made(transport)
        self._expect_head()

    def data_received(self, data: bytes) -> None:
        """Some of a request has come."""
        super().data_received(data)
        if self.cycle is None or self.cycle.response_complete:
            self._expect_head()
        else:
            self._stop_expecting()

    def connection_lost(self, exc: Exception | None) -> None:
        """A connection ends."""
        self._stop_expecting()
        super().connection_lost(exc)

    def _expect_head(self) -> None:
        if self._late is None:
            self._late = self.loop.call_later(HEAD_S, self.transport.close)

    def _stop_expecting(self) -> None:
        if self._late is not None:
            self._late.cancel()
            self._late = None
