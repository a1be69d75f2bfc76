"""The section itself; the routes hang on it."""

from flask import Blueprint

bp = Blueprint("options", __name__, url_prefix="/projects/<int:project_id>/options", template_folder="templates")
