"""The section itself; the routes hang on it."""

from flask import Blueprint

bp = Blueprint("paces", __name__, template_folder="templates", url_prefix="/paces")
