"""Files that are no season are refused in one sentence."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from livery.errors import Fault, SeasonError
from livery.scheme import load_season, reading
from livery.scheme.reading import read_document

Write = Callable[..., Path]


def fault_of(path: Path) -> Fault:
    with pytest.raises(SeasonError) as caught:
        load_season(path)
    (fault,) = caught.value.faults
    return fault


def test_a_missing_file(tmp_path: Path) -> None:
    assert "no such file" in fault_of(tmp_path / "none.toml").found


def test_a_folder(tmp_path: Path) -> None:
    assert "folder" in fault_of(tmp_path).found


def test_a_name_the_system_cannot_hold(tmp_path: Path) -> None:
    assert fault_of(tmp_path / ("x" * 5000)).mend


def test_a_pipe_is_refused_without_waiting(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "season.toml")
    assert "plain file" in fault_of(tmp_path / "season.toml").found


@pytest.mark.parametrize("content", [b"", b" \n\t\n", b"\xef\xbb\xbf"])
def test_an_empty_file(write_season: Write, content: bytes) -> None:
    assert "empty" in fault_of(write_season(content)).found


def test_too_large_a_file(write_season: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write_season()
    monkeypatch.setattr(reading, "LIMIT_BYTES", 100)
    fault = fault_of(path)
    assert "bytes" in fault.found
    assert "100 bytes" in fault.mend


def test_a_byte_order_mark_and_other_line_ends_are_read(
    write_season: Write, season_text: str
) -> None:
    content = b"\xef\xbb\xbf" + season_text.replace("\n", "\r\n").encode()
    assert load_season(write_season(content)).name == "Short"


def test_utf_16(write_season: Write, season_text: str) -> None:
    assert "UTF-16" in fault_of(write_season(season_text.encode("utf-16"))).found


def test_a_byte_that_is_not_utf_8_has_its_line(write_season: Write, season_text: str) -> None:
    fault = fault_of(write_season(b"# one\n# caf\xe9\n" + season_text.encode()))
    assert fault.line == 2
    assert "0xe9" in fault.found


@pytest.mark.parametrize(
    ("content", "line"),
    [
        ('season = "x"\nseason = "y"\n', 2),
        ("a = 1\n[b]\nc = 2\n[b]\n", 4),
        ("a = 1\nwidth = 4.25 in\n", 2),
        ('a = """\nb\n', 2),
        ('a = "\x00"\n', 1),
        ("a = [1,\n2", 2),
        ("a = 1\n\n]\n", 3),
    ],
)
def test_what_is_not_toml_has_its_line(write_season: Write, content: str, line: int) -> None:
    fault = fault_of(write_season(content))
    assert fault.line == line
    assert "not TOML" in fault.found


def test_endless_nesting(write_season: Write) -> None:
    fault = fault_of(write_season("a = " + "[" * 100_000))
    assert "nested" in fault.found or "not TOML" in fault.found


def test_deep_but_valid_nesting_is_located(write_season: Write) -> None:
    text = "x = 1\na = " + "[" * 90 + "\n7" + "]" * 90 + "\n"
    document = read_document(write_season(text))
    assert document.line(("a", *[0] * 90)) == 3


def test_huge_whole_numbers_are_refused(write_season: Write, season_text: str) -> None:
    text = f"revision = 1{'0' * 6000}\n{season_text}"
    assert "thousands of digits" in fault_of(write_season(text)).found
