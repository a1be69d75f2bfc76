"""A photo as it is kept: drawn anew as a plain JPEG, large and small, with nothing of the file it came in.

What a phone writes beside the picture (where it was taken, when, with what) is gone, and so is whatever else a crafted file
holds. How large a picture claims to be is read from its first bytes, before any reader of pictures sees it.
"""

from __future__ import annotations

import struct
import threading
import zlib
from dataclasses import dataclass
from io import SEEK_END, BytesIO
from typing import TYPE_CHECKING, BinaryIO

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable

    from PIL.Image import Image

LARGE, SMALL = 1600, 320  # pixels of the longer side
LARGEST_BYTES = 60 * 1000 * 1000
# A JPEG is decoded at a fraction of its size, the others whole: 16 million pixels of WebP take 240 MB for a moment.
MOST_PIXELS = {"JPEG": 64_000_000, "PNG": 16_000_000, "WEBP": 16_000_000}
WANTED = "a JPEG, PNG or WebP picture"
_QUALITY = 82  # grain and pencil marks stay; a photo comes to about 300 kB
_PAPER = (255, 255, 255)  # what shows through where a picture is clear
_HEAD = 64  # bytes that tell what a file is
_ORIENTATION = 0x0112  # Exif 2.32, table 4
_PHONE_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"avif", b"avis")

# What a reader of pictures answers to bytes that are none, or no longer.
_UNREADABLE = (
    OSError,
    SyntaxError,
    ValueError,
    ArithmeticError,
    LookupError,
    TypeError,
    AttributeError,
    EOFError,
    struct.error,
    zlib.error,
)

_decoding = threading.Lock()  # one at a time: a decoded picture may take a hundred megabytes


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo drawn anew: two JPEGs, and the size of the larger one in pixels."""

    large: bytes
    small: bytes
    width: int
    height: int


def draw(file: BinaryIO, name: str) -> Picture:
    """Draw a photo anew, upright, its first frame where it moves; clear parts become white.

    Args:
        file: as it was sent; read from its beginning.
        name: as the sender calls it, for what is said about it.

    Raises:
        BadInput: too large, not a picture of a kind that is taken, or a damaged one; `received` is the name.
    """
    if (size := file.seek(0, SEEK_END)) > LARGEST_BYTES:
        raise BadInput(
            "photos", name, f"a file of {LARGEST_BYTES // 10**6} MB or less; this one has {size / 1e6:.0f} MB"
        )
    kind = _kind(file, name)
    pixels = _claimed(file, kind, name)
    if not 0 < pixels <= MOST_PIXELS[kind]:
        most = MOST_PIXELS[kind] // 10**6
        raise BadInput(
            "photos", name, f"a picture of 1 to {most} million pixels; it claims {pixels / 1e6:,.0f} million"
        )
    from PIL import Image  # noqa: PLC0415 - slow to import, and only needed where a photo comes in

    try:
        with _decoding:
            file.seek(0)
            return _drawn(file, kind)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning, *_UNREADABLE) as fault:
        raise BadInput("photos", name, "a whole picture; this file is cut short or damaged") from fault


def _kind(file: BinaryIO, name: str) -> str:
    """What a file is by its first bytes; its name says nothing."""
    file.seek(0)
    head = file.read(_HEAD)
    if head.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "WEBP"
    if not head:
        raise BadInput("photos", name, f"{WANTED}; this file is empty")
    if head[4:8] == b"ftyp" and any(brand in head[8:] for brand in _PHONE_BRANDS):
        raise BadInput(
            "photos", name, f"{WANTED}. Set the phone’s camera to JPEG (“most compatible”), or share as JPEG"
        )
    raise BadInput("photos", name, f"{WANTED}; this file is something else, whatever its name says")


def _claimed(file: BinaryIO, kind: str, name: str) -> int:
    """The pixels that a file says it has."""
    file.seek(0)
    try:
        width, height = _SIZES[kind](file)
    except (struct.error, IndexError) as fault:
        raise BadInput("photos", name, "a whole picture; this file ends before it says how large it is") from fault
    return width * height


def _jpeg_size(file: BinaryIO) -> tuple[int, int]:
    """From the frame header (ITU-T T.81, B.2.2), past the segments before it."""
    file.seek(2)
    while True:
        mark, code = struct.unpack(">BB", file.read(2))
        while code == 0xFF:  # fill bytes
            (code,) = struct.unpack(">B", file.read(1))
        if mark != 0xFF:
            raise IndexError(mark)
        if code == 0x01 or 0xD0 <= code <= 0xD8:  # these stand alone
            continue
        (length,) = struct.unpack(">H", file.read(2))
        if 0xC0 <= code <= 0xCF and code not in {0xC4, 0xC8, 0xCC}:
            height, width = struct.unpack(">xHH", file.read(5))
            return width, height
        if length < 2 or code == 0xDA:
            raise IndexError(code)
        file.seek(length - 2, 1)


def _png_size(file: BinaryIO) -> tuple[int, int]:
    """From the first chunk (PNG specification, 11.2.1)."""
    file.seek(12)
    name, width, height = struct.unpack(">4sII", file.read(12))
    if name != b"IHDR":
        raise IndexError(name)
    return width, height


def _webp_size(file: BinaryIO) -> tuple[int, int]:
    """From the first chunk of any of the three kinds (RFC 9649, 2.5 to 2.7)."""
    file.seek(12)
    name = file.read(4)
    body = file.read(14)
    if name == b"VP8X":
        wide, wide_top, high, high_top = struct.unpack("<8xHBHB", body)
        return (wide_top << 16 | wide) + 1, (high_top << 16 | high) + 1
    if name == b"VP8L":
        (bits,) = struct.unpack("<5xI5x", body)
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    if name == b"VP8 ":
        width, height = struct.unpack("<10xHH", body)
        return width & 0x3FFF, height & 0x3FFF
    raise IndexError(name)


_SIZES: dict[str, Callable[[BinaryIO], tuple[int, int]]] = {"JPEG": _jpeg_size, "PNG": _png_size, "WEBP": _webp_size}


def _drawn(file: BinaryIO, kind: str) -> Picture:
    from PIL import Image  # noqa: PLC0415 - as in draw

    with Image.open(file, formats=[kind]) as opened:
        if opened.width * opened.height > MOST_PIXELS[kind]:
            raise ValueError(opened.size)
        turn = _turn(opened)
        opened.draft("RGB", (LARGE, LARGE))  # a JPEG is decoded no larger than it has to be
        opened.load()
        large = _fitted(_plain(opened), LARGE)
    if turn is not None:
        large = large.transpose(turn)
    small = _fitted(large.copy(), SMALL)
    return Picture(_jpeg(large), _jpeg(small), large.width, large.height)


def _turn(opened: Image) -> Image.Transpose | None:
    """How to turn a picture upright, by what the camera noted; a note that cannot be read turns nothing."""
    from PIL.Image import Transpose  # noqa: PLC0415 - as in draw

    try:
        noted = opened.getexif().get(_ORIENTATION)
    except _UNREADABLE:
        return None
    return {
        2: Transpose.FLIP_LEFT_RIGHT,
        3: Transpose.ROTATE_180,
        4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270,
        7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }.get(noted)


def _plain(picture: Image) -> Image:
    """Eight bits a colour, with or without clear parts; the modes that can be made smaller well."""
    if picture.mode.startswith("I") or picture.mode == "F":
        return _eight_bits(picture)
    if picture.mode in {"RGB", "L", "RGBA"}:
        return picture
    clear = picture.mode in {"LA", "La", "PA", "RGBa"} or "transparency" in picture.info
    return picture.convert("RGBA" if clear else "RGB")


def _eight_bits(picture: Image) -> Image:
    """Grey of sixteen bits: the upper eight. Pillow's own way makes all that is brighter than 255 white."""
    import numpy as np  # noqa: PLC0415 - as Pillow
    from PIL import Image  # noqa: PLC0415 - as in draw

    values = np.asarray(picture)
    return Image.fromarray((np.clip(values, 0, 65_535).astype(np.uint16) >> 8).astype(np.uint8))


def _fitted(picture: Image, side: int) -> Image:
    """No larger than so many pixels on its longer side, on white paper; never made larger."""
    from PIL import Image  # noqa: PLC0415 - as in draw

    picture.thumbnail((side, side), Image.Resampling.LANCZOS)
    if "transparency" in picture.info and picture.mode in {"RGB", "L"}:  # one colour that stands for clear
        picture = picture.convert("RGBA")
    if picture.mode == "RGBA":
        paper = Image.new("RGB", picture.size, _PAPER)
        paper.paste(picture, mask=picture.getchannel("A"))
        return paper
    return picture if picture.mode == "RGB" else picture.convert("RGB")


def _jpeg(picture: Image) -> bytes:
    picture.info = {}  # a comment or a profile would be written along
    out = BytesIO()
    picture.save(out, "JPEG", quality=_QUALITY, optimize=True, progressive=True)
    return out.getvalue()
