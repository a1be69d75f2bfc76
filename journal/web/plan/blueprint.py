"""The section itself."""

from flask import Blueprint

bp = Blueprint("plan", __name__, url_prefix="/projects", template_folder="templates")
