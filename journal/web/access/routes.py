"""Signing in, pairing a phone, and who is in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import segno
from flask import flash, make_response, redirect, render_template, request, url_for
from werkzeug.exceptions import NotFound, TooManyRequests

from journal.desk import access
from journal.errors import BadInput
from journal.records.queries import access as records
from journal.web import forms, nav, state
from journal.web.access import guard
from journal.web.access.blueprint import bp
from journal.web.access.forms import ButtonForm, PairForm, SignInForm

if TYPE_CHECKING:
    from datetime import timedelta
    from pathlib import Path

    from flask.typing import ResponseReturnValue
    from werkzeug.wrappers import Response

    from journal.records.queries.access import VisitorRow
    from journal.web.nav import Link


@dataclass(frozen=True, slots=True)
class Invited:
    """An invitation as a phone reads it: a QR code as SVG paths are drawn from rows of dark squares, and the address."""

    address: str
    size: int
    path: str


@dataclass(frozen=True, slots=True)
class DevicesPage:
    """What access/devices.html receives.

    Attributes:
        tabs: the pages of the shop.
        guarded: this server answers to the network; otherwise nobody has to be let in.
        visitors: the browsers that may come in, the last seen first.
        here: the id of the browser that asks; None on an unguarded server.
        button: signs each of the page's small forms.
        invited: an invitation just made.
    """

    tabs: tuple[Link, ...]
    guarded: bool
    visitors: tuple[VisitorRow, ...]
    here: int | None
    button: ButtonForm
    invited: Invited | None = None


@bp.get("/sign-in")
def sign_in() -> ResponseReturnValue:
    """The passphrase, please."""
    _require_guard()
    return render_template("access/sign_in.html", form=SignInForm(then=request.args.get("then", "")))


@bp.post("/sign-in")
def sign_in_try() -> ResponseReturnValue:
    """Let in a browser that knows the passphrase."""
    _require_guard()
    form, now = SignInForm(), state.now()
    address = request.remote_addr or ""
    if wait := guard.backoff().wait(address, now):
        raise _wait(wait)
    if not form.validate_on_submit():
        return render_template("access/sign_in.html", form=form), 422
    try:
        with state.writing() as session:
            let_in = access.sign_in(session, _folder(), form.phrase.data or "", form.label.data or "", now=now)
    except BadInput as refusal:
        guard.backoff().wrong(address, now)
        guard.note("refused, a wrong passphrase")
        forms.attach(form, refusal)
        return render_template("access/sign_in.html", form=form), 422
    guard.backoff().right(address)
    guard.note(f"let in browser {let_in.visitor_id}, by the passphrase")
    return _with_token(redirect(local(form.then.data)), let_in.token)


@bp.get("/pair")
def pair() -> ResponseReturnValue:
    """What a phone opens from the QR code; a tap uses the invitation."""
    _require_guard()
    return render_template("access/pair.html", form=PairForm(code=request.args.get("code", "")))


@bp.post("/pair")
def pair_use() -> ResponseReturnValue:
    """Let in a phone that brings an invitation."""
    _require_guard()
    form, now = PairForm(), state.now()
    address = request.remote_addr or ""
    if wait := guard.backoff().wait(address, now):
        raise _wait(wait)
    if not form.validate_on_submit():
        return render_template("access/pair.html", form=form), 422
    try:
        with state.writing() as session:
            let_in = access.pair(session, form.code.data or "", form.label.data or "", now=now)
    except BadInput as refusal:
        guard.backoff().wrong(address, now)
        guard.note("refused, an invitation that is none or over")
        form.form_errors.append(f"{refusal}.")
        return render_template("access/pair.html", form=form), 422
    guard.note(f"let in browser {let_in.visitor_id}, by an invitation")
    return _with_token(redirect(url_for("home")), let_in.token)


@bp.get("/devices")
def devices() -> ResponseReturnValue:
    """Who may come in."""
    return render_template("access/devices.html", page=_devices())


@bp.post("/devices/invite")
def devices_invite() -> ResponseReturnValue:
    """Show a QR code that lets one phone in."""
    _require_guard()
    with state.writing() as session:
        token = access.invite(session, now=state.now())
    guard.note("an invitation was made")
    address = url_for("access.pair", code=token, _external=True)
    return render_template("access/devices.html", page=_devices(_drawn(address)))


@bp.post("/devices/<int:visitor_id>/shut-out")
def devices_shut_out(visitor_id: int) -> ResponseReturnValue:
    """Let a browser in no more."""
    with state.writing() as session:
        records.shut_out(session, visitor_id, now=state.now())
    guard.note(f"browser {visitor_id} was shut out")
    flash("It is not let in any more.", "good")
    return redirect(url_for("access.devices"))


@bp.post("/sign-out")
def sign_out() -> ResponseReturnValue:
    """This browser leaves."""
    found = guard.visitor()
    if found is not None:
        with state.writing() as session:
            records.shut_out(session, found.id, now=state.now())
        guard.note(f"browser {found.id} signed out")
    response = make_response(redirect(url_for("home")))
    # A browser only forgets a marked cookie for an answer that could have set it.
    response.delete_cookie(guard.cookie(), secure=request.is_secure, httponly=True, samesite="Lax")
    return response


def local(target: str | None) -> str:
    """A path of ours to go on to; the first page for anything that leads, or might lead, elsewhere."""
    asked = target or ""
    parts = urlsplit(asked)
    plain = asked.startswith("/") and not asked.startswith(("//", "/\\")) and "\\" not in asked
    if not plain or parts.scheme or parts.netloc or not asked.isprintable():
        return url_for("home")
    return asked


def _require_guard() -> None:
    if not state.journal().settings.lan:
        raise NotFound


def _folder() -> Path:
    folder = state.journal().settings.data
    if folder is None:
        raise NotFound
    return folder


def _devices(invited: Invited | None = None) -> DevicesPage:
    with state.reading() as session:
        listed = records.visitors(session, now=state.now())
    found = guard.visitor()
    here = found.id if found else None
    return DevicesPage(nav.shop_tabs(), state.journal().settings.lan, listed, here, ButtonForm(), invited)


def _drawn(address: str) -> Invited:
    code = segno.make(address, error="m")
    rows = list(code.matrix_iter(border=4))
    path = "".join(f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, dark in enumerate(row) if dark)
    return Invited(address, len(rows), path)


def _with_token(response: Response, token: str) -> Response:
    response.set_cookie(
        guard.cookie(),
        token,
        max_age=int(access.LONGEST.total_seconds()),
        secure=request.is_secure,
        httponly=True,
        samesite="Lax",
    )
    return response


def _wait(left: timedelta) -> TooManyRequests:
    seconds = int(left.total_seconds()) + 1
    guard.note(f"refused, too many wrong tries before, asked to wait {seconds} s")
    return TooManyRequests(f"Too many wrong passphrases. Try again in {seconds} s.", retry_after=seconds)
