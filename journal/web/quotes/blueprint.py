"""The section itself; the routes hang on it."""

from flask import Blueprint

bp = Blueprint("quotes", __name__, template_folder="templates")
