"""What Hypothesis may draw: lengths, money and durations a shop could meet."""

from hypothesis import strategies as st
from journal import units

NM_PER_64TH = units.NM_PER_INCH // 64
NM_PER_HUNDREDTH_MM = units.NM_PER_MM // 100


def lengths_in_64ths(*, min_inches: float = 1 / 64, max_inches: float = 240) -> st.SearchStrategy[int]:
    """Nanometres, a multiple of 1/64 in."""
    return st.integers(round(min_inches * 64), round(max_inches * 64)).map(lambda parts: parts * NM_PER_64TH)


def lengths_in_hundredths_mm(*, min_mm: float = 0.01, max_mm: float = 6_000) -> st.SearchStrategy[int]:
    """Nanometres, a multiple of 0.01 mm."""
    return st.integers(round(min_mm * 100), round(max_mm * 100)).map(lambda parts: parts * NM_PER_HUNDREDTH_MM)


def money(*, min_minor: int = 0, max_minor: int = 10**9) -> st.SearchStrategy[int]:
    """Minor units."""
    return st.integers(min_minor, max_minor)


def currencies() -> st.SearchStrategy[units.Currency]:
    return st.sampled_from(units.currencies())


def durations(*, max_seconds: int = 86_400) -> st.SearchStrategy[int]:
    """Whole seconds of an evening or a day."""
    return st.integers(0, max_seconds)


def whole_minutes(*, max_minutes: int = 1_440) -> st.SearchStrategy[int]:
    return st.integers(0, max_minutes)


def weights(*, max_size: int = 12) -> st.SearchStrategy[list[float]]:
    """Shares of a cost: zeros, tiny and large ones among them."""
    return st.lists(st.floats(0, 1e9, allow_nan=False), min_size=1, max_size=max_size)


def typed_text() -> st.SearchStrategy[str]:
    """Any text whatever, and text made of the characters that mean something in a number box."""
    meaningful = st.text("0123456789 .,/-'\"½¼¾⅛⅜⅝⅞⅓′″’”⁄−\u00a0٣５:€$£hmincftglozqsd+=e()", max_size=24)
    return st.one_of(st.text(), meaningful)
