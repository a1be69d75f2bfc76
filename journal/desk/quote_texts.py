"""The words the shop puts on every quote, until a quote says otherwise; kept beside the shop's settings."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.quote.terms import TaxRounding
from journal.records.base import canonical
from journal.records.queries import shop as shop_records
from journal.records.queries.shop import SettingRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

SETTING = "quote_texts"
LONGEST = 10_000
LONGEST_WHEN = 120  # characters; it stands in a line with an amount
WHENS = ("deposit_when", "balance_when")


@dataclass(frozen=True, slots=True)
class QuoteTexts:
    """What is and is not included, the terms, when payments are due, where the tax is rounded; common practice."""

    included: str = (
        "All wood, glue and finish for what is described above, and the hardware named there.\n"
        "Making, sanding and finishing in the shop."
    )
    excluded: str = (
        "Carrying it further than the door.\nFixing it to walls or floors.\nHardware that is not named above."
    )
    terms: str = (
        "Wood is no two boards alike: grain and colour vary, and it moves with the air of the room.\n"
        "Changes after agreeing are priced in writing before they are made."
    )
    rounding: TaxRounding = TaxRounding.INVOICE
    deposit_when: str = "on acceptance"
    balance_when: str = "before unloading"

    def __post_init__(self) -> None:
        for name in ("included", "excluded", "terms"):
            if len(getattr(self, name)) > LONGEST:
                raise BadInput(name, getattr(self, name), f"at most {LONGEST:,} characters")
        for name in WHENS:
            if len(getattr(self, name)) > LONGEST_WHEN:
                raise BadInput(name.replace("_", " "), getattr(self, name), f"at most {LONGEST_WHEN} characters")


def quote_texts(session: Session) -> QuoteTexts:
    """The shop's words, or those to start with."""
    kept = shop_records.settings(session).get(SETTING)
    if kept is None:
        return QuoteTexts()
    found = json.loads(kept.value)
    # What was kept before payments had a day keeps the words it was kept with, and none of when.
    whens = {name: found.get(name, "") for name in WHENS}
    return QuoteTexts(found["included"], found["excluded"], found["terms"], TaxRounding(found["rounding"]), **whens)


def keep_texts(session: Session, texts: QuoteTexts) -> None:
    """Put these on every quote from now on; what was issued stays as it is."""
    shop_records.put_setting(session, SettingRow(SETTING, canonical(asdict(texts)), ""))
