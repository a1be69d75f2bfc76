"""The section itself."""

from flask import Blueprint

bp = Blueprint("days", __name__, url_prefix="/projects", template_folder="templates")
