"""An option's changes as they are kept, and in words."""

from __future__ import annotations

from dataclasses import asdict
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from journal import reference
from journal.build.features import features_text
from journal.build.parts import Feature
from journal.desk import parts
from journal.quote.options import Changes
from journal.records.queries.plans import part_from_json
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal import units
    from journal.build.design import Design
    from journal.build.parts import Part


def as_kept(changes: Changes) -> dict[str, Any]:
    """Plain values; what stays as the project has it is left out."""
    kept = {
        "benches": changes.benches,
        "coats": changes.coats,
        "adhesive": changes.adhesive or None,
        "finish": changes.finish or None,
        "design": dict(changes.design) or None,
        "stocks": dict(changes.stocks) or None,
        "left_out": sorted(changes.left_out) or None,
        "features": {uid: [asdict(one) for one in carried] for uid, carried in changes.features.items()} or None,
        "added": [_part_as_kept(part) for part in changes.added] or None,
    }
    return {name: value for name, value in kept.items() if value is not None}


def from_kept(kept: dict[str, Any]) -> Changes:
    """The changes of plain values."""
    features = {uid: tuple(Feature(**one) for one in carried) for uid, carried in kept.get("features", {}).items()}
    return Changes(
        benches=kept.get("benches"),
        coats=kept.get("coats"),
        adhesive=kept.get("adhesive", ""),
        finish=kept.get("finish", ""),
        design=MappingProxyType(kept.get("design", {})),
        stocks=MappingProxyType(kept.get("stocks", {})),
        left_out=frozenset(kept.get("left_out", ())),
        features=MappingProxyType(features),
        added=parts.from_rows([part_from_json(part) for part in kept.get("added", ())]),
    )


def said(changes: Changes, listed: Sequence[Part], design: Design | None, system: units.System) -> tuple[str, ...]:
    """The changes in words, one each; those of parts that are gone are left out."""
    labels = {part.uid: part.label for part in listed}
    left_out = [labels[uid] for uid in changes.left_out if uid in labels]
    return (
        *([counted(changes.benches, "bench", "benches")] if changes.benches is not None else []),
        *_design_words(changes, design, system),
        *(f"{stock or 'the usual wood'} → {instead}" for stock, instead in changes.stocks.items()),
        *([f"without {', '.join(sorted(left_out))}"] if left_out else []),
        *([f"with {', '.join(part.label for part in changes.added)}"] if changes.added else []),
        *(
            f"{labels[uid]}: {features_text(carried, system) or 'nothing in it'}"
            for uid, carried in changes.features.items()
            if uid in labels
        ),
        *([reference.adhesives()[changes.adhesive].name] if changes.adhesive else []),
        *([reference.finishes()[changes.finish].name] if changes.finish else []),
        *([counted(changes.coats, "coat")] if changes.coats is not None else []),
    )


def _design_words(changes: Changes, design: Design | None, system: units.System) -> list[str]:
    if design is None:
        return []
    found = [(design.parameter(word), value) for word, value in changes.design.items()]
    return [f"{parameter.label} {parameter.say(value, system)}" for parameter, value in found if parameter]


def _part_as_kept(part: Part) -> dict[str, Any]:
    row = asdict(parts.to_row(part))
    lists = {"faces": list(row["faces"]), "features": list(row["features"])}
    return {**row, **lists, "laminated_along": str(row["laminated_along"])}
