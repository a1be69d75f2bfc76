"""A project's days as plain values, for other programs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from journal.days.calendar import to_moment

if TYPE_CHECKING:
    from journal.desk.days import ProjectDays

JSON_VERSION = 1


def as_json(found: ProjectDays) -> dict[str, Any]:
    """Days as ISO 8601; moments in UTC. The form is documented in DEVELOPERS.md."""
    likely = found.likely
    return {
        "version": JSON_VERSION,
        "project": found.project.code,
        "start": found.start.isoformat(),
        "weeks": found.weeks,
        "confidence_pct": found.chance_pct,
        "finish": {
            "sure": found.sure_on.isoformat(),
            "p50": found.p50_on.isoformat(),
            "p80": found.p80_on.isoformat(),
            "p90": found.p90_on.isoformat(),
        },
        "promised": found.promised_on.isoformat() if found.promised_on else None,
        "promised_chance": found.promised_chance,
        "likely": {"finish": _moment(likely.finish), "bound": _moment(likely.bound), "status": likely.status},
        "chain": [
            {
                "title": link.row.activity.title,
                "start": _moment(link.row.start),
                "end": _moment(link.row.end),
                "cause": link.cause.value,
                "why": link.why,
                "closed": link.closed,
            }
            for link in found.chain
        ],
        "work": [
            {
                "step": part.step,
                "title": row.activity.title,
                "stage": part.stage,
                "people": row.activity.people,
                "stretches": [[_moment(since), _moment(until)] for since, until in row.stretches],
            }
            for row in likely.rows
            if (part := found.parts.get(row.activity.key))
        ],
        "ahead": [
            {
                "project": other.project.code,
                "likely_pct": other.likely_pct,
                "bench_minutes": round(other.minutes, 1),
            }
            for other in found.ahead
        ],
        "shorter": [{"what": one.what, "days": one.days} for one in found.shorter],
        "rests_on": list(found.bench.said),
        "notes": list(found.notes),
    }


def _moment(wall: int) -> str:
    return to_moment(wall).isoformat()
