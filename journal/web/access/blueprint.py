"""The blueprint of the pages about who may come in."""

from flask import Blueprint

bp = Blueprint("access", __name__, url_prefix="/access", template_folder="templates")
