"""Sign-off and records as people run them."""

import json
import shutil
from pathlib import Path

import pymupdf
import pytest
from command_line import Run
from signers import MAKER, SECRET
from small_season import SmallSeason

PLAYER = "Ada Reed"  # whose Q-1 is


@pytest.fixture
def begun(spawn: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    season = SmallSeason().write(tmp_path / "season")
    monkeypatch.setenv("LIVERY_PASSPHRASE", SECRET)
    monkeypatch.setenv("LIVERY_NEW_PASSPHRASE", "a hundred not out")
    assert spawn("sign", "begin", season, "--by", MAKER).returncode == 0
    done = spawn("sign", "person", season, "--name", PLAYER, "--office", "signer")
    assert done.returncode == 0, done.stderr
    return season


def test_a_proof_is_offered_agreed_verified_and_overtaken(
    run: Run, begun: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("sign", "offer", begun, "--order", "Q-1", "--by", MAKER).returncode == 0
    proofs = json.loads(run("sign", "status", begun, "--json").stdout)["proofs"]
    assert [one["state"] for one in proofs[:2]] == ["offered", "drafted"]
    agree = ("sign", "agree", begun, "--order", "Q-1", "--shown", proofs[0]["content"])
    refused = run(*agree, "--by", MAKER)
    assert refused.returncode == 2
    assert "for Ada Reed to answer" in refused.stderr
    monkeypatch.setenv("LIVERY_PASSPHRASE", "a hundred not out")
    assert run(*agree[:-1], "0" * 64, "--by", PLAYER).returncode == 2
    assert run(*agree, "--by", PLAYER).returncode == 0
    receipt = tmp_path / "Q-1-r1.receipt.json"
    assert run("records", "verify", begun, "--receipt", receipt).returncode == 0
    receipt.write_text(receipt.read_text("utf-8").replace('"agree"', '"decline"'), "utf-8")
    assert run("records", "verify", begun, "--receipt", receipt).returncode == 1
    SmallSeason(badge=27).write(begun.parent)
    proofs = json.loads(run("sign", "status", begun, "--json").stdout)["proofs"]
    assert proofs[0]["state"] == "overtaken"
    assert run("proof", begun, "-o", tmp_path / "proofs", "--order", "Q-1").returncode == 0
    with pymupdf.open(tmp_path / "proofs" / "Q-1-proof.pdf") as pdf:
        words = " ".join(" ".join(page.get_text() for page in pdf).split())
    assert "Before and after are drawn on page" in words
    assert "27.0 × 18.0 mm, was 30.0 × 20.0" in words


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("begin", "--by", ""), "not a name"),
        (("begin", "--by", MAKER, "--date", "soon"), "not an ISO 8601 date"),
        (("person", "--name", " ", "--office", "bench"), "not a name"),
    ],
)
def test_what_is_wrong_is_told_before_a_passphrase_is_asked_for(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], told: str
) -> None:
    season = SmallSeason().write(tmp_path / "season")
    monkeypatch.setattr("livery.cli.sign.ask_passphrase", None)
    done = run("sign", words[0], season, *words[1:])
    assert done.returncode == 2 and told in done.stderr
    assert not (season.parent / "season.records").exists()


def test_a_begun_ledger_is_told_before_a_passphrase_is_asked_for(
    run: Run, begun: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("livery.cli.sign.ask_passphrase", None)
    done = run("sign", "begin", begun, "--by", PLAYER)
    assert done.returncode == 2 and "the records were begun already" in done.stderr


def test_who_signed_is_told_so_even_where_the_receipt_finds_no_place(
    run: Run, begun: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    offer = ("sign", "offer", begun, "--order", "Q-2", "--by", MAKER, "--to", PLAYER)
    assert run(*offer).returncode == 0
    proofs = json.loads(run("sign", "status", begun, "--json").stdout)["proofs"]
    monkeypatch.setenv("LIVERY_PASSPHRASE", "a hundred not out")
    blocked = tmp_path / "a file"
    blocked.write_text("no folder", "utf-8")
    agree = ("sign", "agree", begun, "--order", "Q-2", "--shown", proofs[1]["content"])
    done = run(*agree, "--by", PLAYER, "--receipt", blocked / "receipt.json")
    assert done.returncode == 2
    assert "cannot be written" in done.stderr
    assert f"{PLAYER}: agree revision 1 of Q-2" in done.stdout


def test_a_passphrase_is_changed_and_an_account_closed(
    run: Run, begun: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    closing = ("sign", "close", begun, "--name", PLAYER)
    monkeypatch.setenv("LIVERY_NEW_PASSPHRASE", "reeds in the rain")
    changed = run("sign", "passphrase", begun, "--by", MAKER)
    assert (changed.returncode, changed.stdout) == (0, f"The passphrase of {MAKER} is changed.\n")
    refused = run(*closing)
    assert refused.returncode == 2
    assert "passphrase is wrong" in refused.stderr
    monkeypatch.setenv("LIVERY_PASSPHRASE", "reeds in the rain")
    done = run(*closing)
    assert (done.returncode, done.stdout) == (0, f"Entry 3: {MAKER}: close {PLAYER}\n")
    assert "Choose of nobody" in run(*closing).stderr
    assert run("records", "verify", begun).returncode == 0


def test_records_travel_by_backup_and_nothing_by_a_bad_one(
    run: Run, begun: Path, tmp_path: Path
) -> None:
    assert run("records", "backup", begun, "-o", tmp_path / "kept.tar").returncode == 0
    assert run("records", "export", begun, "-o", tmp_path / "ex").returncode == 0
    assert (tmp_path / "ex" / "ledger.csv").read_text("utf-8").count("\n") == 3
    folder = begun.parent / "season.records"
    shutil.rmtree(folder)
    (tmp_path / "bad.tar").write_bytes((tmp_path / "kept.tar").read_bytes()[:900])
    assert run("records", "restore", begun, tmp_path / "bad.tar").returncode == 2
    assert not folder.exists()
    assert not list(begun.parent.glob(".season*"))
    assert run("records", "restore", begun, tmp_path / "kept.tar").returncode == 0
    assert run("records", "restore", begun, tmp_path / "kept.tar").returncode == 2
    done = run("records", "verify", begun, "--json")
    assert json.loads(done.stdout) == {"entries": 2, "stands": True, "troubles": []}
