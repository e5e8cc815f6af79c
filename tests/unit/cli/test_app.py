import sys

import pytest

from livery.cli import app as doors
from livery.errors import Fault, OutputError, SeasonError


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        (SeasonError(Fault("s.toml", "a.b", 3, "'x' is odd", "Use y")), 2, "s.toml:3: a.b"),
        (OutputError("out: cannot be written"), 2, "cannot be written"),
        (KeyboardInterrupt(), 130, "earlier outputs are untouched"),
        (ZeroDivisionError("of ours"), 3, "a fault of livery's own, at test_app.py:"),
    ],
)
def test_an_error_becomes_words_and_a_code(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    error: BaseException,
    code: int,
    words: str,
) -> None:
    def fail() -> None:
        raise error

    monkeypatch.setattr(doors, "app", fail)
    with pytest.raises(SystemExit) as ended:
        doors.main()
    assert ended.value.code == code
    assert words in capsys.readouterr().err


@pytest.mark.parametrize("words", [[], ["sign"], ["records"]])
def test_no_command_is_told_of_in_half_a_sentence(
    words: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["livery", *words, "--help"])
    monkeypatch.setenv("COLUMNS", "80")
    with pytest.raises(SystemExit):
        doors.main()
    commands = capsys.readouterr().out.partition("Commands:")[2].strip().splitlines()
    assert len(commands) >= 8
    assert [line for line in commands if not line.endswith(".") or line.endswith("...")] == []
