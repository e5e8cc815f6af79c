"""Where the pages are served from: one season, its records, and who may come near."""

from __future__ import annotations

import multiprocessing
import os
import secrets
import socket
import threading
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from functools import cached_property
from ipaddress import ip_address
from pathlib import Path
from types import FrameType
from urllib.parse import urlsplit

from livery.capture import RENDITION_KEYS
from livery.capture.model import Target
from livery.crew.hands import Hands
from livery.errors import Fault, InputError, LiveryError
from livery.jobs.benchwork import Judged
from livery.jobs.drawings import Drawings
from livery.jobs.newest import Newest
from livery.jobs.photographs import find_target
from livery.jobs.season_records import open_records, records_folder
from livery.jobs.shelf import Shelf, look_at_nothing
from livery.jobs.signing import list_statuses
from livery.jobs.survey import Survey
from livery.records.people import has_people
from livery.records.store import Store
from livery.web.current import Current, look_of

LOOPBACK_NAMES = ("127.0.0.1", "localhost", "::1")
_JUDGED = 40  # verdicts kept reached; workshop choice
_LAST_S = 5  # for requests still coming in when the pages are stopped; workshop choice
_TARGETS = 40  # kept read; workshop choice
_MEASURING, _DRAWING = 2, 1  # at once; neither waits for the other; workshop choice


class Post:
    """Everything the pages share.

    Args:
        season: the season file.
        host: address to listen at.
        port: port to listen at.
        targets: target files the bench may use, beside the built-in rendition chart.
        address: how others reach the pages; from host and port if not given.
        database: PostgreSQL URL, or None for SQLite in the season's folder.
        clock: tells the time.
        apart: photographs are measured and proofs drawn in processes of their own, so that no
            page waits for one.

    Raises:
        InputError: the season or a target cannot be read, or others could come in without accounts.
    """

    def __init__(
        self,
        season: Path,
        host: str,
        port: int,
        targets: tuple[Path, ...] = (),
        address: str | None = None,
        database: str | None = None,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        *,
        apart: bool = False,
    ) -> None:
        self.season, self.host, self.port, self.clock = season, host, port, clock
        shown = f"[{host}]" if ":" in host else host
        self.address = (address or f"http://{shown}:{port}").rstrip("/")
        self.secret = secrets.token_bytes(32)
        self.hands = Hands(_MEASURING, apart=apart)
        self.drawing_hands = Hands(_DRAWING, apart=apart)
        self._reading_hands = Hands(1, apart=apart, urgent=True)
        self.current = Current(season, self._reading_hands)
        self.judged: Newest[Judged] = Newest(_JUDGED)
        self._targets = {path.stem: path for path in targets}
        self._targets_read: Newest[Target] = Newest(_TARGETS)
        for name in self.target_names:
            # Loads OpenCV, which alters sys.path meanwhile; a process begun then would keep that.
            self.target(name)
        try:
            self.current.found(None)
        except BaseException:  # Ctrl-C too: nobody waits for a season that nobody will see
            self.stop()
            raise
        if not (self.is_loopback or database or records_folder(season).is_dir()):
            raise _nobody_known(host)  # and no records are left behind
        self.store: Store = open_records(season, database, make=True)
        self.drawings = Drawings(self.drawing_hands, self.store)
        if not self.is_loopback and not has_people(self.store):
            self.store.close()
            raise _nobody_known(host)

    def work_ahead(self) -> None:
        """Do unasked what the next visitor would wait for, as long as the pages are served.

        At first a look at nothing, which loads libraries; proofs again whenever the season changes.
        """
        for _ in range(self.hands.count):
            threading.Thread(target=self._look_ahead, daemon=True).start()
        while self.current.changed.wait():
            self.current.changed.clear()
            with suppress(LiveryError):
                self._draw_ahead(self.found())

    def _look_ahead(self) -> None:
        with suppress(LiveryError):  # the visitor it concerns will be told
            self.hands.do(look_at_nothing, self.target(self.target_names[0]))

    def _draw_ahead(self, found: Survey) -> None:
        list_statuses(found, self.store)
        for order in found.scheme.orders[: self.drawings.most_ahead]:
            if self.current.changed.is_set():
                return
            with suppress(LiveryError):
                self.drawings.draw_ahead(found, order)

    def stop(self) -> None:
        """Let the hands go at once; what they are at nobody will see."""
        for hands in (self.hands, self.drawing_hands, self._reading_hands):
            hands.close()
        for worker in multiprocessing.active_children():
            worker.terminate()

    @property
    def is_loopback(self) -> bool:
        """Whether only this machine can reach the pages."""
        try:
            return ip_address(self.host).is_loopback
        except ValueError:
            return self.host == "localhost"

    @property
    def is_secure(self) -> bool:
        """Whether the pages are reached over TLS, by the address given."""
        return self.address.startswith("https://")

    @property
    def names(self) -> frozenset[str]:
        """Host names a request may ask for; empty when any may."""
        if self.is_loopback:
            return frozenset((*LOOPBACK_NAMES, urlsplit(self.address).hostname or ""))
        return frozenset()

    @cached_property
    def shelf(self) -> Shelf:
        """Photographs taken in and not yet kept."""
        return Shelf(self.store.folder, self.hands)

    @property
    def target_names(self) -> tuple[str, ...]:
        """Targets the bench may choose, those given first."""
        return (*self._targets, *RENDITION_KEYS)

    def target(self, name: str) -> Target:
        """A target by the name the bench chose, read again when its file has changed.

        Raises:
            InputError: it is not one of those offered, or cannot be read now.
        """
        if name not in self.target_names:
            mend = f"Choose of {', '.join(self.target_names)}"
            raise InputError(Fault("target", name[:40], None, "there is no such target", mend))
        place = str(self._targets.get(name, name))
        return self._targets_read.find((name, look_of(place)), lambda: find_target(place))

    def found(self) -> Survey:
        """The season as it is now; raises as ``Current.found``."""
        return self.current.found()


def listen(post: Post) -> None:
    """Serve the pages until stopped.

    Raises:
        InputError: nobody can listen at that address and port.
    """
    import uvicorn

    from livery.web.app import make_app
    from livery.web.patience import PatientProtocol

    class Server(uvicorn.Server):
        """Lets the hands go first, so that nobody's photograph or proof holds up the end."""

        def handle_exit(self, sig: int, frame: FrameType | None) -> None:
            if self.should_exit:
                return  # Ctrl-C held or pressed again: the end is on its way
            super().handle_exit(sig, frame)
            threading.Thread(target=post.stop, name="stopping", daemon=True).start()

    place = _open_port(post.host, post.port)
    threading.Thread(target=post.work_ahead, name="working ahead", daemon=True).start()
    config = uvicorn.Config(
        make_app(post),
        log_level="warning",
        access_log=False,  # addresses of links are secrets
        server_header=False,
        proxy_headers=False,
        http=PatientProtocol,
        ws="none",
        timeout_keep_alive=15,
        timeout_graceful_shutdown=_LAST_S,
    )
    try:
        with suppress(KeyboardInterrupt):
            Server(config).run([place])
    finally:
        post.stop()


def _open_port(host: str, port: int) -> socket.socket:
    try:
        return socket.create_server(
            (host, port), family=socket.AF_INET6 if ":" in host else socket.AF_INET, backlog=2048
        )
    except OSError as error:
        reason = os.strerror(error.errno) if error.errno else str(error)
        found = f"nobody can listen at {host} ({reason})"
        fault = Fault("--port", str(port), None, found, "Choose another port or --host")
        raise InputError(fault) from error


def _nobody_known(host: str) -> InputError:
    mend = "Begin with livery sign begin, add people, or listen at 127.0.0.1"
    return InputError(Fault("--host", host, None, "nobody has an account yet", mend))
