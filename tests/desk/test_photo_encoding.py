"""A photo drawn anew: what is taken, what becomes of it, and what is refused, by whose name and why."""

from io import BytesIO

import numpy as np
import pytest
from journal.desk import photo_encoding
from journal.desk.photo_encoding import draw
from journal.errors import BadInput
from PIL import Image
from tests.desk import photo_files

NAME = "IMG_0042.jpg"


def drawn(content):
    return draw(BytesIO(content), NAME)


def opened(content):
    return Image.open(BytesIO(content))


def at(picture, x, y):
    """The colour at a place, given in shares of width and height."""
    found = picture.convert("RGB")
    return found.getpixel((round(x * (found.width - 1)), round(y * (found.height - 1))))


def is_near(colour, wanted, by=20):
    return all(abs(one - other) <= by for one, other in zip(colour, wanted, strict=True))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_becomes_two_jpegs_of_bounded_size(kind):
    found = drawn(photo_files.saved(photo_files.board(2400, 1200), kind))
    assert (found.width, found.height) == (1600, 800)
    assert (opened(found.large).format, opened(found.large).size) == ("JPEG", (1600, 800))
    assert (opened(found.small).format, opened(found.small).size) == ("JPEG", (320, 160))
    assert is_near(at(opened(found.small), 0.1, 0.1), (220, 20, 20))


def test_a_small_picture_is_not_made_larger():
    found = drawn(photo_files.saved(photo_files.board(200, 100)))
    assert opened(found.large).size == opened(found.small).size == (200, 100)


def test_the_same_picture_gives_the_same_bytes():
    content = photo_files.from_a_phone()
    assert drawn(content) == drawn(content)


def test_nothing_a_phone_wrote_beside_the_picture_is_left():
    sent = photo_files.from_a_phone()
    assert b"secret-comment" in sent
    assert opened(sent).getexif().get_ifd(0x8825)
    found = drawn(sent)
    for kept in (found.large, found.small):
        for secret in (b"secret", b"phone-of-somebody", b"Exif", b"http"):
            assert secret not in kept
        assert not opened(kept).getexif()
        assert {"exif", "comment", "icc_profile", "xmp"}.isdisjoint(opened(kept).info)


@pytest.mark.parametrize(
    ("orientation", "corner"),
    # Exif 2.32, 4.6.4: where row 0 and column 0 of what is stored are seen.
    [(1, (0, 0)), (2, (1, 0)), (3, (1, 1)), (4, (0, 1)), (5, (0, 0)), (6, (1, 0)), (7, (1, 1)), (8, (0, 1))],
)
def test_a_photo_stands_upright(orientation, corner):
    found = opened(drawn(photo_files.from_a_phone(orientation=orientation)).large)
    assert found.size == ((640, 480) if orientation < 5 else (480, 640))
    for x in (0, 1):
        for y in (0, 1):
            shown = at(found, 0.05 + 0.9 * x, 0.05 + 0.9 * y)
            assert is_near(shown, (220, 20, 20), 40) == ((x, y) == corner)


def test_a_note_of_the_camera_that_makes_no_sense_turns_nothing():
    notes = Image.Exif()
    notes[0x0112] = 77
    assert drawn(photo_files.saved(photo_files.board(), exif=notes)).width == 640


def test_clear_parts_become_white():
    picture = photo_files.board().convert("RGBA")
    picture.putalpha(Image.new("L", picture.size, 0))
    assert at(opened(drawn(photo_files.saved(picture, "PNG")).large), 0.1, 0.1) == (255, 255, 255)


def test_one_colour_that_stands_for_clear_becomes_white():
    picture = Image.new("P", (60, 60), 3)
    picture.putpalette([10, 20, 30] * 256)
    shown = opened(drawn(photo_files.saved(picture, "PNG", transparency=3)).large)
    assert at(shown, 0.5, 0.5) == (255, 255, 255)
    grey = opened(drawn(photo_files.saved(Image.new("L", (60, 60), 9), "PNG", transparency=9)).large)
    assert at(grey, 0.5, 0.5) == (255, 255, 255)


def test_half_clear_is_half_white():
    picture = Image.new("RGBA", (60, 60), (0, 0, 0, 128))
    assert is_near(at(opened(drawn(photo_files.saved(picture, "WEBP", lossless=True)).large), 0.5, 0.5), (127,) * 3, 2)


def test_sixteen_bits_of_grey_keep_their_shades():
    values = np.repeat(np.linspace(0, 65_535, 64).astype(np.uint16)[None, :], 64, axis=0)
    shown = opened(drawn(photo_files.saved(Image.fromarray(values), "PNG")).large)
    assert is_near(at(shown, 0.5, 0.5), (127,) * 3, 4)
    assert is_near(at(shown, 1, 0.5), (255,) * 3, 2)


def test_printers_colours_come_back_as_seen():
    sent = photo_files.saved(photo_files.board().convert("CMYK"))
    assert opened(sent).mode == "CMYK"
    assert is_near(at(opened(drawn(sent).large), 0.1, 0.1), (220, 20, 20), 12)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_of_a_picture_that_moves_the_first_frame_is_kept(kind):
    frames = [Image.new("RGB", (40, 40), colour) for colour in ("red", "blue")]
    sent = photo_files.saved(frames[0], kind, save_all=True, append_images=frames[1:], lossless=True)
    assert opened(sent).n_frames == 2
    assert is_near(at(opened(drawn(sent).large), 0.5, 0.5), (255, 0, 0))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "this file is empty"),
        (b"boards, 4 of 8 ft", "something else, whatever its name says"),
        (b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>', "something else"),
        (b"GIF89a" + b"\1\0" * 20, "something else"),
        (b"%PDF-1.7 " + b"\0" * 80, "something else"),
        (photo_files.from_a_new_phone(), "Set the phone’s camera to JPEG"),
        (photo_files.png_bomb(), "it claims 3,600 million"),
        (photo_files.jpeg_bomb(), "it claims 4,290 million"),
        (photo_files.webp_bomb(), "it claims 281,474,977 million"),
        (photo_files.png_bomb(0, 10), "of 1 to 16 million pixels"),
        (photo_files.png_text_bomb(), "cut short or damaged"),
        (photo_files.saved(photo_files.board())[:4000], "cut short or damaged"),
        (photo_files.saved(photo_files.board(), "PNG")[:4000], "cut short or damaged"),
        (photo_files.saved(photo_files.board(), "WEBP")[:300], "cut short or damaged"),
        (b"\xff\xd8\xff", "ends before it says how large it is"),
        (b"\xff\xd8\xff\xe0\0\1", "ends before it says how large it is"),
        (b"\x89PNG\r\n\x1a\n\0\0", "ends before it says how large it is"),
        (b"RIFF\0\0\0\0WEBPVP8X", "ends before it says how large it is"),
    ],
    ids=lambda value: value[:24] if isinstance(value, str) else "",
)
def test_what_is_no_photo_is_refused_by_its_name(content, said):
    with pytest.raises(BadInput) as refused:
        drawn(content)
    assert (refused.value.field, refused.value.received) == ("photos", NAME)
    assert said in refused.value.expected


def test_a_file_too_large_is_refused_before_it_is_looked_at():
    file = BytesIO(photo_files.from_a_phone())
    file.truncate(61_000_000)
    file.seek(60_999_999)
    file.write(b"\0")
    with pytest.raises(BadInput, match="60 MB or less; this one has 61 MB"):
        draw(file, NAME)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_size_read_from_the_first_bytes_is_that_of_the_picture(kind):
    for more in ({}, {"lossless": True}, {"progressive": True}, {"exif": Image.Exif()}):
        file = BytesIO(photo_files.saved(photo_files.board(123, 45), kind, **more))
        assert photo_encoding._SIZES[kind](file) == (123, 45)
