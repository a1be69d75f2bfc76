"""The back-test as plain values for JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from journal.pace.backtest import Backtest, Guess
    from journal.pace.score import Score


def summary(found: Backtest) -> dict[str, Any]:
    """The back-test as plain values for JSON; the form is documented in DEVELOPERS.md."""
    return {
        "version": 1,
        "projects": len(found.guesses),
        "paces": _score_values(found.paces) if found.paces else None,
        "compared_on": found.table[0].projects if found.table else 0,
        "table": [_score_values(one) for one in found.table],
        "comparisons": [
            {
                "rival": one.rival,
                "nearer": one.nearer,
                "gain": one.gain,
                "gain_error": one.gain_error,
                "verdict": one.verdict,
                "rival_wins_median_error": one.wins_median,
                "rival_wins_crps": one.wins_score,
            }
            for one in found.comparisons
        ],
        "said": list(found.said),
        "guesses": [_guess_values(guess) for guess in found.guesses],
        "left_out": [{"code": one.code, "why": one.why} for one in found.left_out],
    }


def _score_values(one: Score) -> dict[str, Any]:
    return {
        "name": one.name,
        "projects": one.projects,
        "bias": one.bias,
        "median_error": one.median_error,
        "crps_share": one.crps_share,
        "crps_minutes": one.crps_minutes,
        "held": {f"{width}": share for width, share in one.held},
    }


def _guess_values(guess: Guess) -> dict[str, Any]:
    return {
        "code": guess.code,
        "title": guess.title,
        "quoted_on": guess.quoted_on.isoformat(),
        "known": guess.known,
        "minutes": {f"p{share:02d}": value for share, value in guess.minutes.items()},
        "actual_minutes": guess.actual_minutes,
        "place": guess.place,
        "crps_minutes": guess.crps_minutes,
        "rivals": dict(guess.rivals),
        "as_built": guess.as_built,
    }
