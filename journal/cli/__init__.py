"""The commands: thin, one an errand. What imports slowly is imported where it is used, so that --help is quick.

A refusal goes to standard error in plain words and ends with exit code 2.
"""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from journal import __version__
from journal.cli import keep
from journal.errors import JournalError

if TYPE_CHECKING:
    from collections.abc import Callable
    from contextlib import AbstractContextManager
    from datetime import date, datetime

    from sqlalchemy import Engine
    from sqlalchemy.orm import Session

    from journal.cli.certificate import Certificate
    from journal.desk.ratios import Ratios
    from journal.desk.shop import ShopView
    from journal.pace.model import Calibration
    from journal.units import Mark
    from journal.web.config import Network

# Our matrices are small; more threads only fight with each other. numpy reads this once, when it is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# So many new objects until circles are looked for; Python's own 700 has the imports searched hundreds of times.
gc.set_threshold(20_000)

PORT = 8460
_FOLDER = click.Path(file_okay=False, path_type=Path)
_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


class _Commands(click.Group):
    """A group that turns our own errors into one plain message."""

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401 - click's own signature
        try:
            return super().invoke(ctx)
        except JournalError as refused:
            click.echo(f"journal: {refused}", err=True)
            ctx.exit(2)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="journal")
def main() -> None:
    """The memory and the arithmetic of a small shop that builds heavy benches to order."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal without ½ shows a question mark, not a traceback


def _data_option(function: Callable[..., Any]) -> Callable[..., Any]:
    text = "Folder of the journal; otherwise JOURNAL_DATA, otherwise the usual place for a user's data."
    return click.option("--data", type=_FOLDER, metavar="DIR", help=text)(function)


def _json_option(function: Callable[..., Any]) -> Callable[..., Any]:
    return click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")(function)


for command in (keep.backup, keep.restore, keep.export, keep.import_, keep.check, keep.move):
    main.add_command(command)


@main.command()
@click.argument("parts_file", metavar="PARTS.csv", type=_FILE)
@click.option("--benches", type=click.IntRange(1, 1000), default=1, show_default=True, help="How many alike.")
@click.option("--glue", metavar="CLASS", default="", help="Class of glue, as in shared/adhesives.csv.")
@click.option("--finish", metavar="CLASS", default="", help="Class of finish, as in shared/finishes.csv.")
@click.option("--coats", type=click.IntRange(0, 20), help="Coats of it; 0 leaves the wood bare.")
@click.option("--price", metavar="AMOUNT", help="Say what this price would mean.")
@_data_option
@_json_option
def estimate(
    parts_file: Path,
    benches: int,
    glue: str,
    finish: str,
    coats: int | None,
    price: str | None,
    data: Path | None,
    as_json: bool,
) -> None:
    """What a part list will take: boards, glue, finish, hours, money, and the price that follows."""
    from journal import units
    from journal.build.part_list import read
    from journal.desk import estimate as desk
    from journal.desk.shop import Work

    shop, calibration, ratios = _shop(data)
    reading = read(parts_file.read_bytes(), source=parts_file.name, system=shop.system)
    work = Work(adhesive=glue, finish=finish, coats=coats)
    made = desk.estimate_parts(reading.taken(), shop, calibration, benches=benches, work=work, ratios=ratios)
    mark = shop.row.decimal_mark
    asked = units.parse_money(price, shop.currency, mark=mark) if price else None
    if as_json:
        _print_json(desk.as_json(made))
        return
    from journal.cli.show import console_for, show_estimate

    for note in reading.notes:
        click.echo(f"Read so: {note}", err=True)
    console = console_for(mark)
    show_estimate(made, title=parts_file.name, price_cents=asked, calibration=calibration, console=console)


@main.command()
@click.option("--from", "log_file", metavar="LOG.csv", type=_FILE, help="Learn from this log alone.")
@click.option("--predict", "plan_file", metavar="PLAN.csv", type=_FILE, help="Say what this plan would take.")
@_data_option
@_json_option
def paces(
    log_file: Path | None,
    plan_file: Path | None,
    data: Path | None,
    as_json: bool,
) -> None:
    """What the logs teach: minutes for each unit of every operation, and how sure that is."""
    from journal.desk import paces as desk
    from journal.desk.paces import Taught

    if log_file:
        taught = desk.from_file(log_file, _today())
    else:
        taught = _with_journal(
            data, lambda session: desk.learn(session, _today()), lambda: Taught.of_the_book(_today())
        )
    for warning in taught.warnings:
        click.echo(f"Note: {warning}", err=True)
    if as_json:
        _print_json(desk.as_json(taught, plan_file))
        return
    from journal.cli.show import console_for, show_paces

    show_paces(taught, desk.as_json(taught, plan_file), console=console_for(_mark(data)))


@main.command()
@_data_option
@_json_option
def backtest(data: Path | None, as_json: bool) -> None:
    """How well the paces would have guessed: past projects in the order they were agreed, beside plain rivals."""
    from journal.desk.backtest import backtest as look_back
    from journal.desk.paces import book
    from journal.pace.backtest import run
    from journal.pace.backtest_values import summary

    tell = _progress_line() if sys.stderr.isatty() else None
    found = _with_journal(
        data, lambda session: look_back(session, _today(), progress=tell), lambda: run((), book(), progress=tell)
    )
    if as_json:
        _print_json(summary(found))
        return
    from journal.cli.show import console_for
    from journal.cli.show_backtest import show_backtest

    show_backtest(found, console=console_for(_mark(data)))


@main.command()
@click.argument("problem_file", metavar="PROBLEM.json", type=_FILE)
@click.option("--seconds", type=click.FloatRange(0, min_open=True), help="Go on looking, and proving, for so long.")
@_json_option
def cut(problem_file: Path, seconds: float | None, as_json: bool) -> None:
    """Plan the cheapest boards for a cutting problem, and say how far it may be from the best possible."""
    from time import perf_counter

    from journal.cutting import plan
    from journal.cutting.problem import Search
    from journal.cutting.problem_file import read_problem
    from journal.cutting.result_file import as_json as result_json

    problem = read_problem(_text(problem_file))
    began = perf_counter()
    result = plan(problem, Search(seconds=seconds, apart=True) if seconds else None)
    taken = perf_counter() - began
    if as_json:
        _print_json(result_json(problem, result, seconds=taken))
        return
    from journal.cli.show_cutting import show_cutting

    show_cutting(problem, result, seconds=taken)


@main.command()
@click.option("--no-serve", is_flag=True, help="Only print the estimate.")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to answer on.")
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True)
@click.option("--years", type=click.IntRange(1, 40), help="With so many full years of work behind it; an empty folder.")
@click.option("--seed", type=int, default=1, show_default=True, help="Of the dice for those years.")
@_data_option
def demo(no_serve: bool, host: str, port: int, years: int | None, seed: int, data: Path | None) -> None:
    """Set up the demo shop beside your own journal, print the estimate of its newest commission, and serve it."""
    from journal.cli.show import show_estimate
    from journal.desk.demo import open_demo
    from journal.desk.estimate import estimate_project
    from journal.records.engine import reading
    from journal.web.quotes.press import Press

    engine, folder, commission = open_demo(data, now=_now(), years=years or 0, seed=seed, press=Press())
    with reading(engine) as session:
        found = estimate_project(session, commission, _today())
    show_estimate(found.made, title=found.project.title, calibration=found.calibration)
    click.echo(f"\nThe demo shop is in {folder}")
    if no_serve:
        engine.dispose()
        return
    _serve(engine, folder, host, port, path=f"/projects/{commission}/price")


@main.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to answer on.")
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True)
@click.option("--lan", is_flag=True, help="Answer to the shop's network, over HTTPS; needs a passphrase.")
@click.option("--plain-http", is_flag=True, help="With --lan: without HTTPS. Whoever is on the network can read along.")
@_data_option
def serve(host: str, port: int, lan: bool, plain_http: bool, data: Path | None) -> None:
    """Serve the journal's pages on this computer, or with --lan on the shop's network."""
    from journal.desk.starting_stock import set_up
    from journal.records.engine import data_folder, database_url, open_engine
    from journal.records.migrate import ensure_current

    folder = data_folder(data)
    engine = open_engine(database_url(folder))
    ensure_current(engine)
    set_up(engine, _today())
    if lan:
        _serve_network(engine, folder, port, https=not plain_http)
    else:
        _serve(engine, folder, host, port)


@main.command()
@_data_option
def passphrase(data: Path | None) -> None:
    """Set the passphrase that lets a browser in from the shop's network; those let in before are shut out."""
    from journal.records.engine import data_folder, writing
    from journal.records.passphrase import keep_passphrase
    from journal.records.queries.access import shut_out_all

    folder = data_folder(data)
    typed = click.prompt("Passphrase", hide_input=True, confirmation_prompt="Once more")
    keep_passphrase(folder, typed)
    engine = _engine_if_there(data)
    if engine is not None:
        with writing(engine) as session:
            shut_out_all(session, now=_now())
        engine.dispose()
    click.echo("Kept. Every browser has to sign in anew.")


def _serve_network(engine: Engine, folder: Path, port: int, *, https: bool) -> None:
    from journal.cli import certificate, network
    from journal.errors import BadInput
    from journal.records.passphrase import has_passphrase
    from journal.web.config import Network

    if not has_passphrase(folder):
        raise BadInput("passphrase", "", "one: set it with `journal passphrase`, then start again")
    names = network.own_names()
    made = certificate.ready(folder, names) if https else None
    if made is None:
        click.echo("Without HTTPS: whoever is on this network can read along, the passphrase included.", err=True)
    else:
        click.echo(f"A phone must trust {made.authority} once; the README says how.")
    _serve(engine, folder, "0.0.0.0", port, network=Network(names, https=https), certificate=made)  # noqa: S104


def _serve(
    engine: Engine,
    folder: Path,
    host: str,
    port: int,
    path: str = "/",
    network: Network | None = None,
    certificate: Certificate | None = None,
) -> None:
    from journal.cli import daily
    from journal.cli.server import run
    from journal.records.keeping.surroundings import serving
    from journal.web import create_app

    app = create_app(data=folder, engine=engine, network=network)
    with serving(folder) as alone:
        for warning in _warnings(folder, alone=alone):
            click.echo(f"Look: {warning}.", err=True)
            app.logger.info("look: %s", warning)
        end = daily.start(engine, folder, app.logger)
        try:
            run(
                app,
                host,
                port,
                started=lambda address: click.echo(f"Open {address}{path}\nStop with Ctrl+C."),
                certificate=certificate,
                shown_as=network.hosts[0] if network else "",
            )
        finally:
            end()


def _warnings(folder: Path, *, alone: bool) -> tuple[str, ...]:
    from journal.records.keeping.surroundings import warnings

    second = f"another server has the journal in {folder} open; nothing is lost by it, but one of the two is enough"
    return (*warnings(folder, _now()), *(() if alone else (second,)))


def _progress_line() -> Callable[[int, int], None]:
    """Says on the terminal how many are done, in one line that is written over."""

    def tell(done: int, of: int) -> None:
        click.echo(f"\rguessing {done} of {of}" + ("\n" if done == of else ""), nl=False, err=True)

    return tell


def _today() -> date:
    from datetime import date

    return date.today()  # noqa: DTZ011 - the day on this computer's clock is the shop's day


def _now() -> datetime:
    from datetime import UTC, datetime

    return datetime.now(UTC)


def _shop(data: Path | None) -> tuple[ShopView, Calibration, Ratios]:
    """The shop, its paces and ratios, from its journal or, where there is none yet, from the starting tables."""
    from journal.desk.paces import learn, untaught
    from journal.desk.ratios import NOTHING, read_ratios
    from journal.desk.shop import read_shop, start_shop

    today = _today()

    def ask(session: Session) -> tuple[ShopView, Calibration, Ratios]:
        shop, taught = read_shop(session, today), learn(session, today)
        return shop, taught.calibration, read_ratios(session, shop, today, taught=taught)

    return _with_journal(data, ask, lambda: (start_shop(), untaught(today), NOTHING))


def _with_journal(data: Path | None, ask: Callable[[Session], Any], otherwise: Callable[[], Any]) -> Any:  # noqa: ANN401
    """Ask the journal if there is one; a question does not make one."""
    from journal.records.engine import reading

    engine = _engine_if_there(data)
    if engine is None:
        return otherwise()
    session_of: AbstractContextManager[Session] = reading(engine)
    try:
        with session_of as session:
            return ask(session)
    finally:
        engine.dispose()


def _mark(data: Path | None) -> Mark:
    """What the shop writes before decimals."""
    from journal.desk.shop import how_shown
    from journal.units import Mark

    found: Mark = _with_journal(data, lambda session: how_shown(session).decimal_mark, lambda: Mark.POINT)
    return found


def _engine_if_there(data: Path | None) -> Engine | None:
    from journal.records.engine import data_folder, database_url, open_engine, sqlite_file
    from journal.records.migrate import ensure_current

    engine = open_engine(database_url(data_folder(data)))
    path = sqlite_file(engine)
    if path is not None and not path.exists():
        return None
    ensure_current(engine)
    return engine


def _text(path: Path) -> str:
    from journal.errors import BadInput

    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput(path.name, "something that is not text", "JSON saved as UTF-8") from None


def _print_json(value: dict[str, Any]) -> None:
    import json

    click.echo(json.dumps(value, ensure_ascii=False, indent=1))
