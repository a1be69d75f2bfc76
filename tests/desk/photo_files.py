"""Pictures made for tests, good and bad, as bytes."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO

import numpy as np
from PIL import Image

# Where a phone says it took a picture: north 12° 34′ 56″, by the tags of Exif 2.32, 4.6.6.
_PLACE = {1: "N", 2: (12.0, 34.0, 56.0), 3: "E", 4: (65.0, 43.0, 21.0)}


def board(width=640, height=480, seed=1):
    """A board with grain: red at its upper left corner, so that it is seen which way up it is."""
    dice = np.random.default_rng(seed)
    grain = dice.normal(0, 12, (height, 1, 3)) + np.array([190, 150, 100])
    picture = np.broadcast_to(grain, (height, width, 3)).clip(0, 255).astype(np.uint8).copy()
    picture[: height // 4, : width // 4] = (220, 20, 20)
    return Image.fromarray(picture)


def saved(picture, kind="JPEG", **more):
    out = BytesIO()
    picture.save(out, kind, **more)
    return out.getvalue()


def from_a_phone(*, orientation=6, width=640, height=480):
    """A JPEG with all that a phone writes beside the picture."""
    notes = Image.Exif()
    notes[0x0112] = orientation
    notes[0x010F] = "phone-of-somebody"
    notes.get_ifd(0x8825).update(_PLACE)
    return saved(board(width, height), exif=notes, comment=b"secret-comment", dpi=(72, 72), xmp=b"<x>secret-xmp</x>")


def png_chunk(name, body):
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png_bomb(width=60_000, height=60_000):
    """A sound PNG of so many pixels in a few hundred kilobytes at most: every line the same, packed."""
    rows = zlib.compressobj(9)
    line = b"\0" * (1 + width // 8)
    packed = b"".join(rows.compress(line * 100) for _ in range(min(height, 2_000) // 100)) + rows.flush()
    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    body = png_chunk(b"IHDR", head) + png_chunk(b"IDAT", packed) + png_chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def png_text_bomb():
    """A small PNG with a text beside it that unpacks to a hundred megabytes."""
    whole = saved(board(8, 8), "PNG")
    packer = zlib.compressobj(9)
    text = b"".join(packer.compress(b"\0" * 10_000_000) for _ in range(10)) + packer.flush()
    return whole[:33] + png_chunk(b"zTXt", b"note\0\0" + text) + whole[33:]


def jpeg_bomb():
    """A JPEG whose frame header claims 65,500 pixels each way."""
    whole = saved(board(16, 16))
    at = whole.index(b"\xff\xc0") + 5
    return whole[:at] + struct.pack(">HH", 65_500, 65_500) + whole[at + 4 :]


def webp_bomb():
    """A WebP whose extended header claims the most there can be: 16,777,216 pixels each way."""
    body = b"VP8X" + struct.pack("<I", 10) + b"\0\0\0\0" + b"\xff" * 6 + saved(board(16, 16), "WEBP")[12:]
    return b"RIFF" + struct.pack("<I", len(body) + 4) + b"WEBP" + body


def from_a_new_phone():
    """The first bytes of the kind that newer phones keep (ISO/IEC 23008-12, annex B)."""
    return b"\0\0\0\x24ftypheic\0\0\0\0mif1heic" + b"\0" * 200
