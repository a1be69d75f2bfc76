"""The section itself; the routes hang on it."""

from flask import Blueprint

bp = Blueprint("welcome", __name__, template_folder="templates")
