"""Who may open the pages from the shop's network. Of every token only a digest is kept."""

from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Base, Digest, Moment, Pk, Word


class Visitor(Base):
    """A browser that was let in, by the passphrase or by pairing, until some day or until it is shut out."""

    __tablename__ = "visitors"

    id: Mapped[Pk]
    label: Mapped[Word]
    token_sha256: Mapped[Digest] = mapped_column(unique=True)
    paired: Mapped[bool]  # by an invitation; otherwise by the passphrase
    let_in_at: Mapped[Moment]
    seen_at: Mapped[Moment]
    until: Mapped[Moment]
    shut_out_at: Mapped[Moment | None]


class Invitation(Base):
    """Lets one browser in, once, for a few minutes."""

    __tablename__ = "invitations"

    id: Mapped[Pk]
    token_sha256: Mapped[Digest] = mapped_column(unique=True)
    made_at: Mapped[Moment]
    until: Mapped[Moment]
    used_at: Mapped[Moment | None]
