"""A running ``livery serve`` and visitors who use its pages as browsers do, with nothing shared."""

import http.client
import re
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode, urlsplit

from folders import copy_demo
from signers import MAKER, SECRET

from livery.jobs.season_records import open_records
from livery.jobs.signing import add_signer, begin_signing
from livery.records.people import Office

KEY = "the bench has a key"


def copy_season(folder: Path, benches: int = 0, database: str | None = None) -> Path:
    """The demonstration season in a folder of its own, begun, with accounts for some benches."""
    season = copy_demo(folder)
    begin_signing(season, MAKER, SECRET, "2027-01-19", database)
    store = open_records(season, database)
    for number in range(benches):
        add_signer(store, SECRET, f"Bench {number}", Office.BENCH, KEY, "2027-01-19")
    store.close()
    return season


@contextmanager
def serving(
    season: Path, *words: object, before: Sequence[str] = ()
) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """The pages on a free port, until the block ends."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = ["serve", season, "--port", port, *words]
    url = f"http://127.0.0.1:{port}"
    with tempfile.TemporaryFile() as said:  # a pipe that nobody reads stops the server when full
        server = subprocess.Popen(
            [*before, sys.executable, "-m", "livery", *map(str, command)], stderr=said
        )
        try:
            for _ in range(480):
                if server.poll() is not None:
                    said.seek(0)
                    raise RuntimeError(said.read().decode())
                try:
                    socket.create_connection(("127.0.0.1", port), 1).close()
                    break
                except OSError:
                    time.sleep(0.25)
            else:
                raise RuntimeError("the pages did not come up")
            yield url, server
        finally:
            server.terminate()
            server.wait(timeout=30)


def cpu_seconds(process: int) -> float:
    """Processor time a process has used, from /proc."""
    fields = Path(f"/proc/{process}/stat").read_text("ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / 100.0


def resident_mib(process: int) -> float:
    """Memory a process holds, from /proc."""
    found = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{process}/status").read_text("ascii"))
    return int(found[1]) / 1024.0 if found else 0.0


@dataclass
class Tally:
    """What all visitors saw: seconds by kind of request, and what went wrong."""

    waits: dict[str, list[float]] = field(default_factory=dict)
    errors: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def add(self, kind: str, seconds: float, status: int, way: str) -> None:
        """Count one answer."""
        with self.lock:
            self.waits.setdefault(kind, []).append(seconds)
            if status >= 400:
                self.errors.append(f"{status} {kind} {way}")

    def share(self, share: float, *but: str) -> float:
        """The wait, in s, that this share of requests stays within; of all kinds but some."""
        waits = sorted(w for kind, own in self.waits.items() if kind not in but for w in own)
        return waits[min(len(waits) - 1, int(len(waits) * share))]


class Visitor:
    """One browser: its own connection and cookies; pictures come compressed and stay so.

    Args:
        url: where the pages are.
        tally: counts what it sees.
    """

    def __init__(self, url: str, tally: Tally) -> None:
        self._host, self._tally = urlsplit(url).netloc, tally
        self._link = http.client.HTTPConnection(self._host, timeout=120)
        self._cookies: dict[str, str] = {}

    def get(self, way: str, kind: str) -> str:
        """A page, followed to where it leads."""
        return self._ask("GET", way, kind, b"", "")[0]

    def send(self, way: str, kind: str, form: Mapping[str, object]) -> tuple[str, str]:
        """A form; returns the page it led to and its address."""
        body = urlencode(form, doseq=True).encode("ascii")
        return self._ask("POST", way, kind, body, "application/x-www-form-urlencoded")

    def send_photo(
        self, way: str, kind: str, form: dict[str, str], photo: bytes
    ) -> tuple[str, str]:
        """A form with a photograph; returns the page it led to and its address."""
        mark = "----------a-mark-that-no-jpeg-holds"
        parts = [
            f'--{mark}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode()
            for name, value in form.items()
        ]
        head = f'--{mark}\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\n'
        parts += [f"{head}Content-Type: image/jpeg\r\n\r\n".encode(), photo]
        body = b"".join([*parts, f"\r\n--{mark}--\r\n".encode()])
        return self._ask("POST", way, kind, body, f"multipart/form-data; boundary={mark}")

    def enter(self, name: str, secret: str) -> None:
        """Sign in."""
        form = {"csrf": self.token("/enter"), "name": name, "passphrase": secret, "then": "/bench"}
        self.send("/enter", "sign in", form)

    def token(self, way: str) -> str:
        """The token of the forms on a page."""
        return token_in(self.get(way, "page"))

    def close(self) -> None:
        """Hang up."""
        self._link.close()

    def _ask(self, method: str, way: str, kind: str, body: bytes, type_: str) -> tuple[str, str]:
        cookies = "; ".join(f"{k}={v}" for k, v in self._cookies.items())
        headers = {"Cookie": cookies, "Accept-Encoding": "gzip"}
        if type_:
            headers |= {"Content-Type": type_, "Origin": f"http://{self._host}"}
        start = time.perf_counter()
        try:
            self._link.request(method, way, body or None, headers)
            answer = self._link.getresponse()
            seen = answer.read()
        except (OSError, http.client.HTTPException) as error:
            self._link.close()
            self._tally.add(kind, time.perf_counter() - start, 599, f"{way} {error!r}")
            return "", way
        self._tally.add(kind, time.perf_counter() - start, answer.status, way)
        for line in answer.headers.get_all("set-cookie") or ():
            name, _, value = line.partition(";")[0].partition("=")
            self._cookies[name] = value.strip('"')
        if answer.status == 303:
            return self._ask("GET", answer.headers["location"], "page", b"", "")
        return ("" if answer.headers["content-encoding"] else seen.decode("utf-8")), way


def token_in(page: str) -> str:
    """The token of the forms on a page."""
    found = re.search(r'name="csrf" value="([0-9a-f]+)"', page)
    return found[1] if found else ""


def children_of(process: int) -> list[int]:
    """Processes that another started and that still run, from /proc."""
    every: list[int] = []
    for task in Path(f"/proc/{process}/task").iterdir():
        every += [int(child) for child in (task / "children").read_text("ascii").split()]
    return sorted(set(every))
