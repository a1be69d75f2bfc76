"""How well the paces would have guessed this shop's own past projects."""

from __future__ import annotations

from threading import Lock
from typing import TYPE_CHECKING, cast

from flask import current_app, redirect, render_template, request, url_for

from journal.desk import backtest as desk
from journal.desk import paces
from journal.desk.backtest_walks import Walks
from journal.web.paces.blueprint import bp
from journal.web.paces.guess_page import Running, guess_page, running
from journal.web.state import journal, reading

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.backtest_walks import Standing

KEY = "backtest"
_PATIENCE_SECONDS = 0.05  # a very small shop is through by then; nobody else waits for a page
_lock = Lock()


@bp.get("/guesses")
def guesses() -> ResponseReturnValue:
    """Every past project as it would have been guessed, beside plain rivals; as far as it is worked out."""
    standing = _look(_PATIENCE_SECONDS)
    return render_template("paces/guesses.html", page=guess_page(standing, whole=request.args.get("show") == "all"))


@bp.get("/guesses/so-far")
def guesses_so_far() -> ResponseReturnValue:
    """How far it is, alone, for a page that asks again and again."""
    return render_template("paces/guesses_so_far.html", running=_running())


@bp.post("/guesses/stop")
def guesses_stop() -> ResponseReturnValue:
    """Leave it at what is guessed so far."""
    walks().stop()
    return redirect(url_for("paces.guesses"))


@bp.post("/guesses/again")
def guesses_again() -> ResponseReturnValue:
    """Guess them all after all."""
    walks().begin_again()
    return redirect(url_for("paces.guesses"))


def _running() -> Running | None:
    return running(_look(0.0))


def _look(wait_seconds: float) -> Standing:
    with reading() as session:
        tested, book = desk.finished(session, journal().today()), paces.shop_book(session)
    return walks().look(tested, wait_seconds=wait_seconds, book=book)


def walks() -> Walks:
    """The back-test of this journal; the same for every request."""
    with _lock:
        return cast("Walks", current_app.extensions.setdefault(KEY, Walks()))
