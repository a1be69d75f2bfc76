"""The section itself."""

from flask import Blueprint

from journal.web.photo_field import allow_photos

bp = Blueprint("rack", __name__, url_prefix="/rack", template_folder="templates")

allow_photos(bp, "new_purchase_send", "purchase_send")
