"""The section itself; the routes hang on it."""

from flask import Blueprint

bp = Blueprint("gluing", __name__, url_prefix="/projects", template_folder="templates")
