"""What every request may ask for: the settings, the engine, today, and how this shop shows its figures."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, cast
from zoneinfo import ZoneInfo

from flask import current_app, g, has_app_context, request

from journal import units
from journal.desk.sending import Sending
from journal.desk.shop import how_shown
from journal.errors import JournalError
from journal.records.engine import reading as _reading
from journal.records.engine import writing as _writing

if TYPE_CHECKING:
    from contextlib import AbstractContextManager
    from datetime import tzinfo

    from flask import Flask
    from sqlalchemy import Engine
    from sqlalchemy.orm import Session

    from journal.pace.model import Book
    from journal.web.config import Settings

KEY = "journal"


@dataclass(frozen=True, slots=True)
class Journal:
    """What the application was made with.

    Attributes:
        settings: how the server was started.
        engine: the database; pages that keep nothing work without it.
        fixed_today: the date to take for today, or None for the clock's.
    """

    settings: Settings
    engine: Engine | None = None
    fixed_today: date | None = None

    def today(self) -> date:
        """The day it is in the shop."""
        zone = display().time_zone
        return self.fixed_today or datetime.now(UTC).astimezone(ZoneInfo(zone) if zone else None).date()


@dataclass(frozen=True, slots=True)
class Display:
    """How this shop reads and shows figures."""

    shop_name: str
    system: units.System
    currency: units.Currency
    denominator: int = 16
    time_zone: str = ""  # blank: the computer's
    day_form: units.DayForm = units.DayForm.DAY_FIRST
    mark: units.Mark = units.Mark.POINT
    week_start: units.WeekStart = units.WeekStart.MONDAY


def in_marks(text: str) -> str:
    """A text of the rooms with its numbers as this shop writes them (see units.marked); as it is where no page is made."""
    return units.marked(text, display().mark) if has_app_context() else text


def told(text: str) -> str:
    """A text of the rooms with its numbers and its days as this shop writes them."""
    return in_marks(units.dated(text, display().day_form)) if has_app_context() else text


def pointed(text: str, field: str) -> str:
    """What was typed, with its numbers as the rooms read them; see units.pointed."""
    return units.pointed(text, display().mark, field) if has_app_context() else text


def settings_of(app: Flask) -> Settings:
    """The settings an application was made with, outside a request."""
    return cast("Journal", app.extensions[KEY]).settings


def journal() -> Journal:
    return cast("Journal", current_app.extensions[KEY])


def display() -> Display:
    """The shop's display settings; inches and dollars until a page has set others with `show_as`."""
    if "display" not in g:
        g.display = Display(shop_name="", system=units.System.INCH, currency=units.currency("USD"))
    return cast("Display", g.display)


def setup(app: Flask) -> None:
    """Before each page: show figures as this shop does."""
    app.before_request(_show_as_shop)


def reading() -> AbstractContextManager[Session]:
    """A session that sees one moment of the journal and changes nothing."""
    return _reading(engine())


def writing() -> AbstractContextManager[Session]:
    """A session that keeps everything when it ends well, and nothing when it does not."""
    return _writing(engine())


def now() -> datetime:
    """The moment, in UTC; on a fixed day, noon of it."""
    fixed = journal().fixed_today
    return datetime(fixed.year, fixed.month, fixed.day, 12, tzinfo=UTC) if fixed else datetime.now(UTC)


def book() -> Book:
    """The operations this shop knows, the book's and its own; read once a request."""
    if "book" not in g:
        from journal.desk.paces import shop_book  # noqa: PLC0415 - the model is slow to import, and few pages name work

        with reading() as session:
            g.book = shop_book(session)
    return cast("Book", g.book)


def zone() -> tzinfo:
    """The shop's time zone; the computer's while the shop has said none."""
    named = display().time_zone
    return ZoneInfo(named) if named else cast("tzinfo", datetime.now(UTC).astimezone().tzinfo)


def sending() -> Sending:
    """The sending of a form about the log: its key, and when and where it is now."""
    return Sending(request.form.get("key", ""), journal().today(), zone(), now())


def engine() -> Engine:
    """The journal's engine, for what reads in a session of its own."""
    found = journal().engine
    if found is None:
        raise JournalError("this server was started without a journal; start it with `journal serve`")
    return found


def _show_as_shop() -> None:
    if journal().engine is None or request.endpoint in (None, "static"):
        return
    with reading() as session:
        shop = how_shown(session)
    ways = shop.day_form, shop.decimal_mark, shop.week_start
    show_as(Display(shop.name, shop.system, shop.currency, shop.denominator, shop.time_zone, *ways))


def show_as(settings: Display) -> None:
    """Set how the rest of this request reads and shows figures."""
    g.display = settings


def read_amounts_in(currency_code: str) -> None:
    """The money chosen in a form is what its amounts are typed in, also while it is being changed."""
    if currency_code in {one.code for one in units.currencies()}:
        show_as(replace(display(), currency=units.currency(currency_code)))
