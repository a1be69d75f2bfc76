"""The pages. A page asks the desk, shows what it got, and works nothing out itself.

    config         settings, the key of the cookies
    state          what every request may ask: today, the shop's way of showing figures
    security       headers, host names, forms that only our own pages may send
    assets         stylesheets and scripts, addressed by their content
    small          answers packed for the way
    memory         what long work has let go of, given back
    nav            the sections and a project's tabs
    errors         error class -> status and page, in one place
    figures        a figure as runs of number, fraction and unit
    filters        how a figure reaches a page
    forms          the fields every section uses
    late           forms that wait in a browser while there is no signal
    work_choice    a stage or an operation chosen from a list
    pictures       geometry of the drawn ranges
    drawings       geometry of a bench's three views
    patterns       /patterns, every macro once
    <section>/     routes.py, forms.py, templates/<section>/*.html

Sections do not import one another; what two share moves here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Flask, redirect, url_for
from jinja2 import StrictUndefined

from journal.web import (
    access,
    across,
    assets,
    buying,
    coats,
    config,
    days,
    designs,
    errors,
    filters,
    floor,
    forms,
    gluing,
    journal_log,
    log,
    memory,
    nav,
    notes,
    options,
    patterns,
    photos,
    plan,
    progress,
    projects,
    quotes,
    rack,
    review,
    security,
    small,
    state,
    today,
    welcome,
)
from journal.web.access import guard
from journal.web.help import routes as help_pages
from journal.web.paces import routes as paces
from journal.web.prices import routes as prices
from journal.web.shop import routes as shop
from journal.web.state import KEY, Journal, display

if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path

    from sqlalchemy import Engine
    from werkzeug.wrappers import Response


def create_app(
    *,
    data: Path | None = None,
    engine: Engine | None = None,
    testing: bool = False,
    today: date | None = None,
    secret: str | None = None,
    network: config.Network | None = None,
) -> Flask:
    """The application: settings first, then what guards a request, then what shows one, then the pages."""
    app = Flask(__name__)
    settings = config.read(data=data, testing=testing, secret=secret, network=network)
    app.extensions[KEY] = Journal(settings=settings, engine=engine, fixed_today=today)
    _setup_flask(app, settings)
    _setup_templates(app)
    journal_log.setup(app, settings.data)
    security.setup(app)
    guard.setup(app)
    state.setup(app)
    if not settings.testing:  # a server's concern; a process of tests is soon over
        memory.setup(app)
    small.setup(app)  # before whatever else looks at an answer: after a request they run last to first
    assets.setup(app)
    errors.setup(app)
    _setup_sections(app)
    _setup_home(app)
    return app


def _setup_flask(app: Flask, settings: config.Settings) -> None:
    app.url_map.strict_slashes = False  # an address typed with or without its last stroke is the same page
    app.config.update(
        TESTING=settings.testing,
        SECRET_KEY=settings.secret,
        MAX_CONTENT_LENGTH=settings.largest_request,
        MAX_FORM_MEMORY_SIZE=settings.largest_request,  # a part list pasted from a spreadsheet is one long field
        SESSION_COOKIE_NAME=config.cookie_name("journal", https=settings.https),
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_SECURE=settings.https,
        PREFERRED_URL_SCHEME="https" if settings.https else "http",
        WTF_CSRF_TIME_LIMIT=None,  # a page stays open on the bench all day; the form dies with the cookie
    )


def _setup_templates(app: Flask) -> None:
    app.jinja_options = {**app.jinja_options, "undefined": StrictUndefined}
    app.jinja_env.trim_blocks = True
    app.jinja_env.lstrip_blocks = True
    filters.setup(app)
    help_pages.setup(app)
    app.jinja_env.globals.update(box_attributes=forms.box_attributes, project_tabs=nav.project_tabs)
    app.context_processor(lambda: {"sections": nav.sections(), "display": display()})


def _setup_sections(app: Flask) -> None:
    app.register_blueprint(access.bp)
    app.register_blueprint(prices.bp)
    app.register_blueprint(shop.bp)
    app.register_blueprint(paces.bp)
    app.register_blueprint(patterns.bp)
    app.register_blueprint(projects.bp)
    app.register_blueprint(buying.bp)
    app.register_blueprint(rack.bp)
    app.register_blueprint(progress.bp)
    app.register_blueprint(designs.bp)
    app.register_blueprint(plan.bp)
    app.register_blueprint(quotes.bp)
    app.register_blueprint(options.bp)
    app.register_blueprint(days.bp)
    app.register_blueprint(today.bp)
    app.register_blueprint(floor.bp)
    app.register_blueprint(log.bp)
    app.register_blueprint(gluing.bp)
    app.register_blueprint(coats.bp)
    app.register_blueprint(notes.bp)
    app.register_blueprint(photos.bp)
    app.register_blueprint(review.bp)
    app.register_blueprint(across.bp)
    app.register_blueprint(help_pages.bp)
    app.register_blueprint(welcome.bp)


def _setup_home(app: Flask) -> None:
    @app.get("/")
    def home() -> Response:
        """The first section that is there; a new shop is asked its six questions first."""
        return redirect(url_for("welcome.index") if welcome.is_new() else nav.first_page())
