"""The section itself; the routes hang on it."""

from flask import Blueprint

from journal.web.photo_field import allow_photos

bp = Blueprint("notes", __name__, template_folder="templates")
allow_photos(bp, "add", "change")
