"""The pages. A page asks the desk, shows what it got, and works nothing out itself.

    config         settings, the key of the cookies
    state          what every request may ask: today, the shop's way of showing figures
    security       headers, host names, forms that only our own pages may send
    assets         stylesheets and scripts, addressed by their content
    nav            the sections and a project's tabs
    errors         error class -> status and page, in one place
    figures        a figure as runs of number, fraction and unit
    filters        how a figure reaches a page
    forms          the fields every section uses
    pictures       geometry of the drawn ranges
    drawings       geometry of a bench's three views
    patterns       /patterns, every macro once
    <section>/     routes.py, forms.py, templates/<section>/*.html

Sections do not import one another; what two share moves here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Flask, redirect
from jinja2 import StrictUndefined

from journal.web import (
    assets,
    buying,
    config,
    designs,
    errors,
    filters,
    forms,
    nav,
    patterns,
    projects,
    security,
    state,
)
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
) -> Flask:
    """The application: settings first, then what guards a request, then what shows one, then the pages."""
    app = Flask(__name__)
    settings = config.read(data=data, testing=testing, secret=secret)
    app.extensions[KEY] = Journal(settings=settings, engine=engine, fixed_today=today)
    _setup_flask(app, settings)
    _setup_templates(app)
    security.setup(app)
    state.setup(app)
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
        SESSION_COOKIE_NAME="journal",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        WTF_CSRF_TIME_LIMIT=None,  # a page stays open on the bench all day; the form dies with the cookie
    )


def _setup_templates(app: Flask) -> None:
    app.jinja_options = {**app.jinja_options, "undefined": StrictUndefined}
    app.jinja_env.trim_blocks = True
    app.jinja_env.lstrip_blocks = True
    filters.setup(app)
    app.jinja_env.globals.update(box_attributes=forms.box_attributes, project_tabs=nav.project_tabs)
    app.context_processor(lambda: {"sections": nav.sections(), "display": display()})


def _setup_sections(app: Flask) -> None:
    app.register_blueprint(prices.bp)
    app.register_blueprint(shop.bp)
    app.register_blueprint(paces.bp)
    app.register_blueprint(patterns.bp)
    app.register_blueprint(projects.bp)
    app.register_blueprint(buying.bp)
    app.register_blueprint(designs.bp)


def _setup_home(app: Flask) -> None:
    @app.get("/")
    def home() -> Response:
        """The first section that is there."""
        return redirect(nav.first_page())
