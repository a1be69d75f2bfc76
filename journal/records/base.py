"""The declarative base, the names of constraints, and the column types every table shares.

Lengths are integer nanometres, money integer minor units, times of day UTC, days of the log the shop's own calendar days.
"""

import json
from datetime import UTC, date, datetime
from enum import StrEnum
from hashlib import sha256
from typing import Annotated, Any, ClassVar

from sqlalchemy import (
    JSON,
    BigInteger,
    CheckConstraint,
    Date,
    DateTime,
    Dialect,
    Double,
    Enum,
    MetaData,
    String,
    Text,
    TypeDecorator,
)
from sqlalchemy.orm import DeclarativeBase, mapped_column

from journal.errors import BadInput

# SQLite leaves constraints nameless unless told; a later migration needs the name to change one.
NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class UtcDateTime(TypeDecorator[datetime]):
    """A moment. Refuses a time without a zone; comes back in UTC whatever the database keeps."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        if value is None:
            return None
        if value.tzinfo is None or value.utcoffset() is None:
            raise BadInput("moment", value.isoformat(), "a time with its zone, such as 2026-03-01T18:30+00:00")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        if value is None:
            return None
        # SQLite keeps the UTC clock reading without its zone; PostgreSQL answers in the connection's zone.
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


Pk = Annotated[int, mapped_column(primary_key=True)]
Nm = Annotated[int, mapped_column(BigInteger)]
Mm2 = Annotated[int, mapped_column(BigInteger)]
Cents = Annotated[int, mapped_column(BigInteger)]
Amount = Annotated[float, mapped_column(Double)]
Word = Annotated[str, mapped_column(String(60))]
Prose = Annotated[str, mapped_column(Text)]
Digest = Annotated[str, mapped_column(String(64))]
Moment = Annotated[datetime, mapped_column(UtcDateTime)]
Day = Annotated[date, mapped_column(Date)]
Json = Annotated[list[dict[str, Any]], mapped_column(JSON)]


class Base(DeclarativeBase):
    metadata = MetaData(naming_convention=NAMES)
    type_annotation_map: ClassVar[dict[Any, Any]] = {datetime: UtcDateTime}


def one_of(words: type[StrEnum], name: str = "") -> Enum:
    """Column type that stores a word of a list and lets the database refuse any other.

    `name` is of the check behind it; two columns of a table with the same words need two.
    """
    return Enum(
        words,
        name=name or _snake(words.__name__),
        native_enum=False,
        create_constraint=True,
        length=20,
        values_callable=lambda members: [member.value for member in members],
    )


def at_least(low: int, *columns: str) -> tuple[CheckConstraint, ...]:
    """One check for each column: not under `low` (an empty column passes)."""
    return tuple(CheckConstraint(f"{column} >= {low}", name=f"{column}_low") for column in columns)


def above_zero(*columns: str) -> tuple[CheckConstraint, ...]:
    """One check for each column: more than nothing (an empty column passes)."""
    return tuple(CheckConstraint(f"{column} > 0", name=f"{column}_positive") for column in columns)


def canonical(value: object) -> str:
    """The one JSON text of a value: sorted keys, no spaces, so that equal values have equal checksums."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def checksum(text: str) -> str:
    """SHA-256 of a text's UTF-8 bytes, in hexadecimal."""
    return sha256(text.encode()).hexdigest()


def _snake(name: str) -> str:
    return "".join(f"_{letter.lower()}" if letter.isupper() else letter for letter in name).lstrip("_")
