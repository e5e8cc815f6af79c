"""A day at many benches: each takes photographs, has them judged, keeps them, looks round."""

import random
import re
import threading
from collections.abc import Callable, Sequence
from pathlib import Path

from chart_photograph import PIECES, chart_photograph
from visitors import KEY, Tally, Visitor, token_in

from livery.rehearsal import Camera

ORDERS = tuple(f"Q-10{number}" for number in range(1, 7))
"""What the demonstration season makes."""
IMAGE_WORK = ("photograph", "verdict", "first proof")
"""What decodes and measures a photograph or may draw a proof: its time is its own."""


def photograph(season: Path, folder: Path, size_px: tuple[int, int]) -> tuple[Path, Path]:
    """A simulated photograph of two inks beside the chart; the photograph and its target file."""
    pieces = tuple(piece for piece in PIECES if piece[0] == "sedge-gloves")
    camera = Camera(width_px=size_px[0], height_px=size_px[1])
    return chart_photograph(season, folder, pieces, camera)[0], folder / "chart.toml"


def marked(photo: bytes, words: str) -> bytes:
    """The same photograph with a comment in it, so that it is another file."""
    comment = words.encode("ascii")
    return photo[:2] + b"\xff\xfe" + (len(comment) + 2).to_bytes(2, "big") + comment + photo[2:]


class Day:
    """Benches that work at once, with accounts ``Bench 0`` and so on.

    Args:
        url: where the pages are.
        photo: what every bench photographs, made another file each time.
        benches: how many.
        captures: photographs to be kept by all of them together.
        orders: whose bats they are.
        accounts: how many they sign in with, in turn; one each unless told.
        pause_s: how long each looks at what it sees before it goes on, half as much again at most
            and half at least.

    Attributes:
        tally: what was waited for.
        kept: the batch name of every capture that the pages said is kept.
        stop: ends the day early.
    """

    def __init__(
        self,
        url: str,
        photo: bytes,
        benches: int,
        captures: int,
        pause_s: float = 0.0,
        orders: Sequence[str] = ORDERS,
        accounts: int = 0,
    ) -> None:
        self._url, self._photo, self._benches, self._pause_s = url, photo, benches, pause_s
        self._accounts = accounts or benches
        self._takes, self._orders = iter(range(captures)), orders
        self._proofs_seen: set[str] = set()
        self._lock = threading.Lock()
        self.tally, self.kept = Tally(), list[str]()
        self.stop = threading.Event()

    def work(self) -> None:
        """Go on until all is kept or the day is stopped."""
        crew = [threading.Thread(target=self._bench, args=(n,)) for n in range(self._benches)]
        for one in crew:
            one.start()
        for one in crew:
            one.join()

    def _bench(self, bench: int) -> None:
        visitor, moods = Visitor(self._url, self.tally), random.Random(bench)

        def pause() -> None:
            self.stop.wait(self._pause_s * moods.uniform(0.5, 1.5))

        visitor.enter(f"Bench {bench % self._accounts}", KEY)
        while not self.stop.is_set():
            with self._lock:
                take = next(self._takes, None)
            if take is None:
                break
            order, batch = self._orders[take % len(self._orders)], f"take {take}"
            self._look_round(visitor, order, pause)
            page = visitor.get(f"/bench/{order}", "bat")
            pause()
            form = {"csrf": token_in(page), "target": "chart", "bench": f"{bench}", "batch": batch}
            page, way = visitor.send_photo(
                f"/bench/{order}/photo", "photograph", form, marked(self._photo, batch)
            )
            pause()
            if _keep(visitor, page, way, form, pause, twice=take % 2 == 0):
                self.kept.append(batch)
            pause()
        visitor.close()

    def _look_round(self, visitor: Visitor, order: str, pause: Callable[[], None]) -> None:
        visitor.get("/", "season")
        pause()
        visitor.get("/bench", "choose")
        pause()
        with self._lock:
            kind = "proof" if order in self._proofs_seen else "first proof"
        page = visitor.get(f"/proof/{order}", kind)
        with self._lock:
            self._proofs_seen.add(order)
        for picture in re.findall(r'<img src="([^"]+)"', page):
            visitor.get(picture.replace("&amp;", "&"), "proof page")
        pause()


def _keep(
    visitor: Visitor,
    page: str,
    way: str,
    form: dict[str, str],
    pause: Callable[[], None],
    *,
    twice: bool,
) -> bool:
    """Measure two spots of a photograph and keep the verdict; whether the page says so.

    A button pressed twice keeps it once.
    """
    wide, high = (_number(page, f'data-{side}="(\\d+)"') for side in ("width", "height"))
    spots: dict[str, Sequence[str]] = {
        "item": ["sedge-gloves"] * 2,
        "ink": ["tarn", "ember"],
        "x": [str(wide // 4)] * 2,
        "y": [str(high // 3), str(high // 2)],
        "w": ["12"] * 2,
        "h": ["12"] * 2,
    }
    verdict = f"{way.partition('?')[0]}/verdict"
    whole: dict[str, object] = {**form, **spots, "csrf": token_in(page)}
    visitor.send(verdict, "verdict", whole)
    pause()
    for _ in range(2 if twice else 1):
        page, _ = visitor.send(verdict, "keep", {**whole, "keep": "yes"})
    return "is kept" in page


def _number(page: str, pattern: str) -> int:
    found = re.search(pattern, page)
    return int(found[1]) if found else 0
