"""A journal in which every section has been used: the demo shop, and a day's work on its pages on top.

The day's work is done with the pages' own forms, so that it breaks where a page breaks; a form that is refused fails here.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from bs4 import BeautifulSoup
from journal.web.assets import FOLDER
from tests.attack.crawl import forms_of
from tests.desk import photo_files

if TYPE_CHECKING:
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

COMMISSION = 21  # the project of the demo that is to be quoted
IN_BUILD = 19
OF_DESIGN = 22  # begun here, so that a quote has a drawing

# Where a walk begins: pages whose forms only what was done here brings up, and answers that only a script asks for.
STARTS = (
    f"/projects/{COMMISSION}/quote",
    f"/projects/{COMMISSION}/quote/promise?weeks=1",
    f"/projects/{COMMISSION}/life",
    f"/projects/{COMMISSION}/options",
    f"/projects/{COMMISSION}/options/1",
    f"/projects/{COMMISSION}/price",
    "/projects/18/quote",
    "/projects/18/money",
    f"/projects/{IN_BUILD}/buy",
    f"/projects/{IN_BUILD}/buy/searches",
    f"/projects/{IN_BUILD}/days.json",
    f"/projects/{IN_BUILD}/log/1098",
    f"/projects/{IN_BUILD}/log/1100",
    f"/projects/{IN_BUILD}/log",
    f"/projects/{IN_BUILD}/plan",
    f"/projects/{IN_BUILD}/progress/course",
    f"/projects/{OF_DESIGN}/quote/1/drawing.svg",
    "/projects/1/review",
    "/projects/1/review/learnt",
    "/projects/1/review/materials",
    "/projects/18/review",
    "/projects/1/coats",
    f"/projects/{IN_BUILD}/coats",
    f"/projects/{IN_BUILD}/glue",
    f"/projects/{IN_BUILD}/notes",
    f"/projects/{IN_BUILD}/notes/1",
    f"/projects/{IN_BUILD}/notes/2",
    "/notes?q=grain",
    "/across/",
    "/rack/purchases/1/photos",
    "/rack/boards/1",
    "/rack/done",
    "/rack/count",
    "/paces/missing",
    "/paces/guesses/so-far",
    "/paces/past-jobs",
    "/shop/hours",
    "/shop/backup",
    "/shop/machines",
    "/designs/our-bench",
    "/designs/our-bench/live",
    f"/designs/of/{OF_DESIGN}",
    "/ballpark/live",
    f"/floor/start?project={IN_BUILD}&work=cut_lap",
    "/floor/worker.js",
    "/welcome",
    "/welcome/begin",
    "/words",
    "/access/devices",
    "/access/sign-in",
    "/access/pair",
    "/static/icon.svg",
    "/today",
    "/projects/",
    "/prices",
    "/shop",
    "/paces",
    "/rack",
    "/designs",
    "/quotes",
    "/patterns",
    "/",
)


class NoFormError(AssertionError):
    """A page without the form that was looked for."""


def send(client: FlaskClient, page: str, action: str, **typed: object) -> TestResponse:
    """Fill in the first form of a page whose address ends so, and send it."""
    shown = client.get(page)
    for form in forms_of(BeautifulSoup(shown.text, "html.parser"), page):
        if form.action.split("?")[0].endswith(action):
            answer = client.post(form.action, data=form.sent | typed)
            if answer.status_code >= 400:
                said = BeautifulSoup(answer.text, "html.parser").main.get_text(" ", strip=True)
                raise NoFormError(f"{form.action} answered {answer.status_code}: {said[:600]}")
            return answer
    raise NoFormError(f"{page} ({shown.status_code}) has no form to {action}")


def live(client: FlaskClient) -> None:
    """Use every section once."""
    _rack(client)
    _shop(client)
    _designs(client)
    _plan(client)
    _clock_and_log(client)
    _notes(client)
    _photos(client)
    _past_jobs(client)
    _quote(client)


def _rack(client: FlaskClient) -> None:
    send(client, "/rack/new", "/rack/new", stock="2x6 fir", count="4", length="10")
    board = "/rack/boards/1"
    send(client, board, "/note", note="knotty at one end")
    send(client, board, "/stretch", start="2 ft", end="30 in", why="knot")
    send(client, "/rack/boards/2", "/off", why="split")


def _shop(client: FlaskClient) -> None:
    send(client, "/access/devices", "/invite")
    send(client, "/shop/hours", "/off", first="2026-12-24", last="2026-12-26", why="closed")
    send(client, "/shop/backup", "/backup")


def _designs(client: FlaskClient) -> None:
    send(client, "/designs/new", "/new")


def _plan(client: FlaskClient) -> None:
    plan = f"/projects/{IN_BUILD}/plan"
    send(client, plan, "/readings", moisture="9.5")
    send(client, plan, "/readings", moisture="10")
    send(client, plan, "/steps/add", title="Sharpen", minutes="20")
    send(client, plan, "/stack")


def _clock_and_log(client: FlaskClient) -> None:
    send(client, "/today", "/tap")
    send(client, f"/projects/{IN_BUILD}/log", "/log", hours="1:30")
    send(client, f"/projects/{IN_BUILD}/log/1100", "/remove", reason="twice")


def _notes(client: FlaskClient) -> None:
    notes = f"/projects/{IN_BUILD}/notes"
    send(client, notes, "/notes", text="the grain turns at the left end: plane from the right", about="s:milling")
    send(client, notes, "/notes", text="written by mistake")
    send(client, f"{notes}/2", "/remove")


def _photos(client: FlaskClient) -> None:
    note, receipt = f"/projects/{IN_BUILD}/notes/1", "/rack/purchases/1/photos"
    send(client, note, "/notes/1", photos=_picture(1))
    for number in (2, 3):
        send(client, receipt, "/photos", photos=_picture(number))
    send(client, receipt, "/down")


def _picture(number: int) -> tuple[io.BytesIO, str]:
    return io.BytesIO(photo_files.saved(photo_files.board(60, 40, number))), f"{number}.jpg"


def sent_past_jobs(client: FlaskClient) -> str:
    """Where a spreadsheet of past jobs is looked at after it was sent; nothing of it is taken yet."""
    page = "/paces/past-jobs"
    form = next(one for one in forms_of(BeautifulSoup(client.get(page).text, "html.parser"), page) if one.files)
    sample = (FOLDER / "sample-past-jobs.csv").read_bytes()
    answer = client.post(form.action, data=form.sent | {"file": (io.BytesIO(sample), "past.csv")})
    return answer.location


def _past_jobs(client: FlaskClient) -> None:
    looked_at = sent_past_jobs(client)
    page = BeautifulSoup(client.get(looked_at).text, "html.parser")
    (form,) = [one for one in forms_of(page, looked_at) if one.action == looked_at]
    client.post(form.action, data=form.sent)


def _quote(client: FlaskClient) -> None:
    send(client, "/designs/knock-down-bench", "/begin", title="Bench of a design")
    send(client, f"/projects/{OF_DESIGN}/quote", "/quote")
    project = f"/projects/{COMMISSION}"
    send(client, f"{project}/price", "/price/keep")
    send(client, f"{project}/options/new", "/options/new", name="Two coats more", coats="4")
    send(client, f"{project}/quote", "/quote")
    send(client, "/projects/18/money", "/money", amount="100", how="cash")
    send(client, "/projects/18/quote", "/extras", what="A shelf", price="120")
