"""The section itself; the routes hang on it."""

from flask import Blueprint

bp = Blueprint("shop", __name__, template_folder="templates", url_prefix="/shop")
