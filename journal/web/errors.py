"""Error class -> status and page, decided here and nowhere else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import make_response, render_template, request
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, InternalServerError, RequestEntityTooLarge

from journal.errors import BadInput, BadRows, Conflict, JournalError, MissingReference, NoSolution, Problem, Unavailable
from journal.web import forms
from journal.web.journal_log import request_number
from journal.web.security import UnknownHost
from journal.web.state import journal, told

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response

_MEGABYTE = 1024 * 1024


@dataclass(frozen=True, slots=True)
class ErrorPage:
    """What an error page shows.

    Attributes:
        status: the HTTP status.
        title: what happened, in a few words.
        message: what exactly.
        advice: what to do next.
        problems: bad places in a table, each with its line.
        ways: where to go from here: label, endpoint, what is there.
    """

    status: int
    title: str
    message: str
    advice: str = ""
    problems: tuple[Problem, ...] = ()
    ways: tuple[tuple[str, str, str], ...] = ()


_NOT_THERE = 404
# Where something that is not at an address is looked for next: label, endpoint, what is there.
_WAYS = (
    ("Projects", "projects.index", "every job, by number, title or client"),
    ("Rack", "rack.index", "boards, the shelf and receipts"),
    ("Search notes", "notes.search", "what somebody wrote down"),
    ("Lately", "today.lately", "what was done last, with what was taken out"),
)

# The nearest class of the tree decides, so a subclass needs no line of its own.
ROOMS: dict[type[JournalError], tuple[int, str]] = {
    BadInput: (422, "Something could not be read"),
    NoSolution: (422, "Nothing fits what was asked"),
    MissingReference: (404, "That is not in the book"),
    Unavailable: (503, "The journal cannot do that just now"),
    Conflict: (409, "Changed in the meantime"),
    JournalError: (400, "That did not work"),
}

HTTP: dict[int, tuple[str, str, str]] = {
    404: (
        "No such page",
        "Nothing of this journal lies at this address: it was taken out, or the address has a slip in it.",
        "Look for it where it is kept.",
    ),
    405: (
        "Not that way",
        "This address does not take that kind of request.",
        "Open the page it belongs to and use its form.",
    ),
    500: (
        "The journal itself tripped",
        "This is a fault in the program, not in what you typed. Nothing was half saved.",
        "Go back and try once more. What was saved before is still there.",
    ),
}


def setup(app: Flask) -> None:
    app.register_error_handler(JournalError, _show_room_error)
    app.register_error_handler(HTTPException, _show_http_error)


def page_for_room(error: JournalError) -> ErrorPage:
    """The page for an error of the rooms."""
    status, title = next(ROOMS[cls] for cls in type(error).__mro__ if cls in ROOMS)
    if isinstance(error, BadRows):
        advice = "Nothing was taken. Mend these places and send it again."
        return ErrorPage(status, f"{error.source}: some places could not be read", "", advice, error.problems)
    if status == _NOT_THERE:
        return ErrorPage(status, title, _sentence(_said(error)), "Look for it where it is kept.", ways=_WAYS)
    return ErrorPage(status, title, _sentence(_said(error)), "Go back; what you typed should still be there.")


def page_for_http(error: HTTPException) -> ErrorPage:
    """The page for an error of the transport."""
    status = error.code or 500
    if isinstance(error, UnknownHost):
        return _unknown_host(error)
    if isinstance(error, CSRFError):
        return ErrorPage(
            status,
            "This form is no longer valid",
            "Nothing was saved. The form came without the mark that this server put in it, most likely because the "
            "server was set up again since the page was opened, or the browser keeps no cookies.",
            "Go back, reload the page and send it again.",
        )
    if isinstance(error, RequestEntityTooLarge):
        return _too_large(status)
    title, message, advice = HTTP.get(status, (error.name, _sentence(error.description or ""), ""))
    if status >= InternalServerError.code:
        advice += f" The file journal.log in the data folder says what went wrong, under {request_number()}."
    return ErrorPage(status, title, message, advice, ways=_WAYS if status == _NOT_THERE else ())


def _unknown_host(error: UnknownHost) -> ErrorPage:
    return ErrorPage(
        400,
        "Not an address of this journal",
        f"The request was for “{error.host}”. This server answers only to {', '.join(error.known)}.",
        "Open it under one of those names, or add the name to JOURNAL_HOSTS and start the server again.",
    )


def _too_large(status: int) -> ErrorPage:
    limit = (request.max_content_length or journal().settings.largest_request) / _MEGABYTE
    return ErrorPage(
        status,
        "Too much at once",
        f"One request may carry {limit:.0f} MB at most. Nothing of this one was taken.",
        "Send the file in pieces, or make the picture smaller first.",
    )


def _show_room_error(error: JournalError) -> Response:
    return _answer(page_for_room(error))


def _show_http_error(error: HTTPException) -> Response:
    response = _answer(page_for_http(error))
    kept = (pair for pair in error.get_headers(request.environ) if pair[0] != "Content-Type")
    response.headers.extend(kept)
    return response


def _answer(page: ErrorPage) -> Response:
    template = "errors/rows.html" if page.problems else "errors/page.html"
    response = make_response(render_template(template, page=page), page.status)
    if page.status >= InternalServerError.code:
        response.headers["Cache-Control"] = "no-store"
    return response


def _said(error: JournalError) -> str:
    """In the shop's marks and days; what was typed stays as it was typed."""
    return forms.said(error) if isinstance(error, BadInput) else told(str(error))


def _sentence(text: str) -> str:
    """The rooms' messages start small and end bare; a page shows a sentence."""
    text = text.strip()
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) or not text else ".")
