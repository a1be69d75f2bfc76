"""The section itself."""

from flask import Blueprint

bp = Blueprint("rack", __name__, url_prefix="/rack", template_folder="templates")
