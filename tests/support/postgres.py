"""A real PostgreSQL server for the tests, in a folder of its own, on a socket only."""

import os
import shutil
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


def _programs() -> Path:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if not found:
        message = "PostgreSQL is not installed: bash .ci/test installs it"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    return found[-1].parent


def _run(command: list[str]) -> None:
    as_user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    subprocess.run([*as_user, *command], check=True, capture_output=True, cwd="/")


@contextmanager
def postgresql(*, durable: bool = False) -> Iterator[str]:
    """URL of a fresh server, without a database name; ``durable`` writes through to the disk."""
    programs = _programs()
    folder = Path(tempfile.mkdtemp(prefix="pg-", dir="/tmp"))
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres", "postgres")
    data = folder / "data"
    _run([str(programs / "initdb"), "-D", str(data), "-A", "trust", "-U", "livery", "-E", "UTF8"])
    sync = "on" if durable else "off"
    options = f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync={sync}"
    control = [str(programs / "pg_ctl"), "-D", str(data), "-w"]
    _run([*control, "-l", str(folder / "log"), "-o", options, "start"])
    try:
        yield f"postgresql+psycopg://livery@/{{name}}?host={folder}"
    finally:
        _run([*control, "-m", "immediate", "stop"])
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """URL of a fresh server, without a database name."""
    with postgresql() as url:
        yield url


def new_database(server: str) -> str:
    """URL of an empty database on a server."""
    import sqlalchemy as sa

    name = f"t{uuid.uuid4().hex}"
    engine = sa.create_engine(server.format(name="postgres"), isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(sa.text(f"CREATE DATABASE {name}"))
    engine.dispose()
    return server.format(name=name)
