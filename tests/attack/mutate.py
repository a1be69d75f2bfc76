"""Files that were whole once: bytes turned, cut out, doubled, put in; and values of a JSON document put in place of others."""

from __future__ import annotations

import copy
import io
import zipfile

from hypothesis import strategies as st

PIECES = (
    b"\0",
    b"\xff\xfe",
    b"\xed\xa0\x80",
    b"\r",
    b"\n\n",
    b'"',
    b'""',
    b"'''",
    b",",
    b"\t",
    b";",
    b"=1+1",
    b"-",
    b"NaN",
    b"inf",
    b"1e999",
    b"1/0",
    b"9" * 5_000,
    b"[" * 5_000,
    b"{" * 200,
    b"(" * 3_000,
    b"x" * 70_000,
    b"\xef\xbb\xbf",
    "−½″🪚".encode(),
    b"0001-01-01",
    b"9999-12-31",
    b"\\ud800",
)
values = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.sampled_from([0, -1, 2**31, 2**63, 10**30, 1.5, float("nan"), float("inf"), -0.0]),
    st.text(st.characters(exclude_categories=[]), max_size=8),  # half characters too, as JSON lets one write them
    st.sampled_from(
        ["", "x" * 10_000, "\0", "\ud800", "2026-02-30", "9999-12-31T23:59:59-23:59", "0001-01-01T00:00+14:00"]
    ),
    st.just([]),
    st.just({}),
    st.lists(st.integers(-5, 5), max_size=3),
)


@st.composite
def turned(draw, whole: bytes):
    """A file with one to six slips in it."""
    made = bytearray(whole)
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, len(made)))
        end = min(len(made), at + draw(st.integers(1, 40)))
        how = draw(st.sampled_from(["put", "cut", "turn", "double", "end"]))
        if how == "put":
            made[at:at] = draw(st.sampled_from(PIECES) | st.binary(max_size=12))
        elif how == "cut":
            del made[at:end]
        elif how == "turn":
            made[at:end] = draw(st.binary(min_size=end - at, max_size=end - at))
        elif how == "double":
            made[at:at] = made[at:end] * draw(st.integers(1, 50))
        else:
            del made[at:]
    return bytes(made)


def files_like(whole: bytes):
    """Bytes of any kind, and slips in a whole file."""
    return st.one_of(turned(whole), st.binary(max_size=200), st.sampled_from(PIECES))


@st.composite
def documents_like(draw, whole: object):
    """A JSON document with up to four of its values put in place of others, or taken out."""
    made = copy.deepcopy(whole)
    for _ in range(draw(st.integers(1, 4))):
        places = list(_places(made))
        if not places:
            return draw(values)
        holder, key = draw(st.sampled_from(places))
        if draw(st.integers(0, 4)) == 0:
            del holder[key]
        else:
            holder[key] = draw(values)
    return made


def _places(document):
    keys = document.keys() if isinstance(document, dict) else range(len(document)) if isinstance(document, list) else ()
    for key in keys:
        yield document, key
        yield from _places(document[key])


def bomb(megabytes: int) -> bytes:
    """A workbook that unpacks to so many megabytes of nothing."""
    packed = io.BytesIO()
    with (
        zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive,
        archive.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as file,
    ):
        for _ in range(megabytes):
            file.write(b" " * 1024 * 1024)
    return packed.getvalue()


def repacked(workbook: bytes, name: str, content: bytes) -> bytes:
    """A workbook with one file of its archive put in place of another."""
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook)) as old, zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as new:
        for file in old.infolist():
            new.writestr(file.filename, content if file.filename == name else old.read(file))
    return packed.getvalue()


def unpacked(workbook: bytes, name: str) -> bytes:
    """One file of a workbook's archive."""
    with zipfile.ZipFile(io.BytesIO(workbook)) as archive:
        return archive.read(name)
