"""/words, and the help for the templates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import Blueprint, render_template

from journal.web.help import texts

if TYPE_CHECKING:
    from flask import Flask
    from flask.typing import ResponseReturnValue

bp = Blueprint("help", __name__, template_folder="templates")


@dataclass(frozen=True, slots=True)
class WordsPage:
    """What help/words.html receives: the words of the trade, and every text behind a “?”."""

    words: tuple[texts.Word, ...]
    helps: tuple[texts.Help, ...]


def setup(app: Flask) -> None:
    """Let the templates ask for a text by its key."""
    app.jinja_env.globals.update(help_of=texts.find)


@bp.get("/words")
def words() -> ResponseReturnValue:
    """The words as they are used here."""
    helps = tuple(sorted(texts.helps().values(), key=lambda one: one.name.casefold()))
    return render_template("help/words.html", page=WordsPage(texts.words(), helps))
