"""Work to share out in tests: a worker must be able to import it."""

import os
import signal
from pathlib import Path

from livery.errors import Fault, SeasonError


def double(number: int) -> int:
    return 2 * number


def divide(one: float, other: float) -> float:
    return one / other


def refuse(name: str) -> None:
    raise SeasonError(Fault(name, "", 3, "found", "mend"))


def whose() -> int:
    """The process that does it."""
    return os.getpid()


def die_once(flag: Path) -> str:
    """Kills its worker, the first time it is tried."""
    if not flag.exists():
        flag.write_text("tried")
        os.kill(os.getpid(), signal.SIGKILL)
    return "done"


def die() -> None:
    """Kills its worker, always."""
    os.kill(os.getpid(), signal.SIGKILL)
