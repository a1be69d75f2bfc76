"""The section itself; the routes hang on it."""

from flask import Blueprint
from flask.blueprints import BlueprintSetupState
from werkzeug.routing import BaseConverter

from journal.web.photo_field import allow_photos

bp = Blueprint("photos", __name__, template_folder="templates")


class Digest(BaseConverter):
    """The checksum that a picture lies under: an address with anything else is none of ours."""

    regex = r"[0-9a-f]{64}"


@bp.record_once
def _know_digests(setup: BlueprintSetupState) -> None:
    setup.app.url_map.converters["digest"] = Digest


allow_photos(bp, "of_purchase_add")
