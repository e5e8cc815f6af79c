"""``livery sign``: a proof is offered, and agreed to or declined by the one who was asked."""

from __future__ import annotations

import getpass
import os
import warnings
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from livery.cli.screen import FINDINGS, JsonFlag, console, print_json, watching
from livery.cli.season_flags import DatabaseOption, SeasonArgument, records_of

if TYPE_CHECKING:
    from livery.jobs.signing import ProofStatus
    from livery.jobs.survey import Survey
    from livery.records.ledger import Entry

app = typer.Typer(
    help="Offer a proof, agree to it or decline it; and say who may.", no_args_is_help=True
)

OrderOption = typer.Option(..., "--order", help="The order's key.")


def _day(date: str | None) -> str:
    if date is None:
        return datetime.now(UTC).date().isoformat()
    try:
        datetime.fromisoformat(date)
    except ValueError as error:
        raise typer.BadParameter(f"{date!r} is not an ISO 8601 date") from error
    return date


DateOption = typer.Option(
    None, "--date", callback=_day, help="Date stated, ISO 8601; today if not given."
)
ByOption = typer.Option(..., "--by", help="Who acts. The passphrase is asked for.")


@app.command()
def begin(
    season: Path = SeasonArgument,
    by: str = ByOption,
    date: str = DateOption,
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Begin a ledger: the maker's account and key."""
    from livery.jobs.season_records import records_folder
    from livery.jobs.signing import begin_signing
    from livery.records.people import check_name, check_unbegun
    from livery.scheme import load_season

    load_season(season)
    check_name(by)
    if records_folder(season).is_dir():
        with records_of(season, database) as store:
            check_unbegun(store, by)
    secret = ask_passphrase(by, "LIVERY_PASSPHRASE", new=True)
    _tell(begin_signing(season, by, secret, date, database), as_json)


@app.command()
def person(
    season: Path = SeasonArgument,
    name: str = typer.Option(..., "--name", help="The new person's name."),
    office: str = typer.Option(..., "--office", help="designer, bench or signer."),
    date: str = DateOption,
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Add a person. The maker's passphrase is asked for, then the new person's."""
    from livery.jobs.signing import add_signer, maker_of
    from livery.records.people import Office, check_name

    if office not in list(Office):
        raise typer.BadParameter("designer, bench or signer", param_hint="--office")
    check_name(name)
    with records_of(season, database) as store:
        secret = ask_passphrase(maker_of(store), "LIVERY_PASSPHRASE")
        theirs = ask_passphrase(name, "LIVERY_NEW_PASSPHRASE", new=True)
        entry = add_signer(store, secret, name, Office(office), theirs, date)
    _tell(entry, as_json)


@app.command()
def passphrase(
    season: Path = SeasonArgument,
    by: str = typer.Option(..., "--by", help="Whose. The old passphrase is asked for, then a new."),
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Change one's own passphrase. The signing key stays; sessions in browsers end."""
    from livery.records.people import change_password

    with records_of(season, database) as store:
        old = ask_passphrase(by, "LIVERY_PASSPHRASE")
        change_password(store, by, old, ask_passphrase(by, "LIVERY_NEW_PASSPHRASE", new=True))
    if as_json:
        print_json({"changed": by})
    else:
        console().print(f"The passphrase of {by} is changed.", soft_wrap=True)


@app.command()
def close(
    season: Path = SeasonArgument,
    name: str = typer.Option(..., "--name", help="Whose account."),
    date: str = DateOption,
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Close a person's account; what they signed stands. The maker's passphrase is asked for."""
    from livery.jobs.signing import close_signer, maker_of

    with records_of(season, database) as store:
        secret = ask_passphrase(maker_of(store), "LIVERY_PASSPHRASE")
        entry = close_signer(store, secret, name, date)
    _tell(entry, as_json)


@app.command()
def offer(
    season: Path = SeasonArgument,
    order: str = OrderOption,
    by: str = ByOption,
    to: str = typer.Option("", "--to", help="Who is to answer; the order's player if not given."),
    date: str = DateOption,
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Offer a proof as the season gives it now. What was offered before is overtaken."""
    from livery.jobs.signing import find_order, offer_proof

    found = _survey(season, as_json)
    with records_of(season, database) as store:
        who = (by, ask_passphrase(by, "LIVERY_PASSPHRASE"))
        entry = offer_proof(found, store, find_order(found, order), who, to, date)
    _tell(entry, as_json)


@app.command()
def agree(
    season: Path = SeasonArgument,
    order: str = OrderOption,
    shown: str = typer.Option(..., "--shown", help="Content (SHA-256) on the proof that was read."),
    by: str = ByOption,
    receipt: Path | None = typer.Option(
        None, "--receipt", help="Where to write the receipt; ORDER-rN.receipt.json if not given."
    ),
    date: str = DateOption,
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Agree to the proof that was shown. Writes a receipt to keep elsewhere."""
    from livery.errors import OutputError
    from livery.jobs.signing import write_receipt

    entry = _answer(season, database, order, shown, by, date, None, as_json)
    path = receipt or Path(receipt_name(entry.proof, entry.revision))
    try:
        write_receipt(entry, path)
    except OutputError:
        _tell(entry, as_json)  # it is signed all the same
        raise
    _tell(entry, as_json, str(path))


@app.command()
def decline(
    season: Path = SeasonArgument,
    order: str = OrderOption,
    shown: str = typer.Option(..., "--shown", help="Content (SHA-256) on the proof that was read."),
    by: str = ByOption,
    because: str = typer.Option(..., "--because", help="Why."),
    date: str = DateOption,
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Decline the proof that was shown, with a reason."""
    _tell(_answer(season, database, order, shown, by, date, because, as_json), as_json)


@app.command()
def link(
    season: Path = SeasonArgument,
    order: str = OrderOption,
    days: float = typer.Option(14.0, "--days", help="How long it opens."),
    address: str = typer.Option(
        "http://127.0.0.1:8737", "--address", help="Where livery serve is reached."
    ),
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Make a link for the one who was asked, for this proof alone. Shown once, kept nowhere."""
    from livery.jobs.signing import find_order, link_proof, maker_of

    found = _survey(season, as_json)
    with records_of(season, database) as store:
        secret = ask_passphrase(maker_of(store), "LIVERY_PASSPHRASE")
        token, person = link_proof(
            found, store, find_order(found, order), secret, datetime.now(UTC), days
        )
    url = f"{address.rstrip('/')}/answer/{token}"
    if as_json:
        print_json({"link": url, "for": person, "days": days})
    else:
        console().print(f"For {person} alone, for {days:g} days:\n{url}", soft_wrap=True)


@app.command()
def status(
    season: Path = SeasonArgument,
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Say where each order's proof stands. Exit 1 means: not everything is agreed."""
    from livery.jobs.signing import list_statuses
    from livery.records.book import State

    found = _survey(season, as_json)
    with records_of(season, database) as store:
        statuses = list_statuses(found, store)
    if as_json:
        print_json({"proofs": [asdict(one) for one in statuses]})
    else:
        for one in statuses:
            _show_status(one)
    if any(one.state is not State.AGREED for one in statuses):
        raise typer.Exit(FINDINGS)


def receipt_name(order: str, revision: int) -> str:
    """A receipt's file name."""
    from livery.jobs.naming import file_stem

    return f"{file_stem(order)}-r{revision}.receipt.json"


def ask_passphrase(name: str, variable: str, *, new: bool = False) -> str:
    """A passphrase from the environment or, unseen, from the terminal; twice for a new one."""
    from livery.errors import Fault, InputError

    if variable in os.environ:
        return os.environ[variable]
    try:
        with warnings.catch_warnings(category=getpass.GetPassWarning, action="ignore"):
            words: str = typer.prompt(
                f"Passphrase of {name}", hide_input=True, confirmation_prompt=new, err=True
            )
    except typer.Abort as error:
        mend = f"Give it at the terminal, or in {variable}"
        raise InputError(Fault("passphrase", name, None, "none was given", mend)) from error
    return words


def _answer(
    season: Path,
    database: str | None,
    order: str,
    shown: str,
    by: str,
    date: str,
    because: str | None,
    quiet: bool,
) -> Entry:
    from livery.jobs.signing import answer_proof, find_order
    from livery.records.people import unlock_key

    found = _survey(season, quiet)
    with records_of(season, database) as store:
        key = unlock_key(store, by, ask_passphrase(by, "LIVERY_PASSPHRASE"))
        chosen = find_order(found, order)
        return answer_proof(found, store, chosen, shown, (by, key), date, because)


def _survey(season: Path, quiet: bool) -> Survey:
    from livery.jobs.survey import survey

    with watching(quiet=quiet) as watch:
        return survey(season, watch)


def _tell(entry: Entry, as_json: bool, receipt: str = "") -> None:
    if as_json:
        print_json({"entry": asdict(entry), "hash": entry.hash, "receipt": receipt or None})
        return
    what = f"revision {entry.revision} of {entry.proof}" if entry.revision else entry.proof
    out = console()
    out.print(f"Entry {entry.number}: {entry.by}: {entry.act} {what}", soft_wrap=True)
    if receipt:
        out.print(f"Keep the receipt somewhere else: {receipt}", soft_wrap=True)


def _show_status(one: ProofStatus) -> None:
    out = console()
    last = f", revision {one.offered_revision}, {one.by}, {one.date}" if one.by else ""
    out.print(f"{one.state:<10} {one.order}  {one.player}{last}", soft_wrap=True)
    out.print(f"           content {one.content}", soft_wrap=True)
    if one.state == "declined":
        out.print(f"           {one.reason}", soft_wrap=True)
