"""The colours can be told apart in both themes.

Source of the formula and the limits: Web Content Accessibility Guidelines 2.2 (W3C Recommendation), 'relative
luminance', 'contrast ratio', success criteria 1.4.3 (text, 4.5) and 1.4.11 (parts of controls and pictures, 3).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from journal.web import assets

CSS = assets.FOLDER / "css"
TOKENS = (CSS / "tokens.css").read_text(encoding="utf-8")

TEXT = [
    *(
        (ink, ground)
        for ink in ("ink", "ink-soft", "chalk", "chalk-deep", "bad")
        for ground in ("paper", "sheet", "sunk")
    ),
    *((ink, "box") for ink in ("ink", "chalk-deep")),
    *((ink, "chalk-wash") for ink in ("ink", "chalk-deep")),
    ("on-chalk", "chalk"),
    ("on-chalk", "chalk-deep"),
    *((ink, f"{kind}-wash") for kind in ("good", "care", "bad") for ink in ("ink", "chalk")),
    ("bad", "bad-wash"),
    ("ink-soft", "bad-wash"),
    *(("paper", sign) for sign in ("ink-soft", "good", "care", "bad")),
]
PARTS = [
    *((edge, ground) for edge in ("line-firm", "chalk", "good", "care", "bad") for ground in ("paper", "sheet")),
    ("line-firm", "sunk"),
    ("chalk", "box"),
    ("bad", "bad-wash"),
    ("chalk", "chalk-mid"),
    ("ink", "chalk-mid"),
    ("chalk-deep", "chalk-mid"),
]


def colours(block):
    return dict(re.findall(r"--([a-z-]+):\s*(#[0-9a-f]{6})", block))


def themes():
    blocks = {
        "light": TOKENS[: TOKENS.index("@media (pointer")],
        "dark": TOKENS[TOKENS.index(':root:not([data-theme="light"])') : TOKENS.index(':root[data-theme="dark"]')],
        "dark by choice": TOKENS[TOKENS.index(':root[data-theme="dark"]') :],
    }
    return {name: colours(block) for name, block in blocks.items()}


def luminance(colour):
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_formula_gives_the_published_ends():
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#777777", "#777777") == 1


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("ink", "ground"), TEXT)
def test_text_reads_on_its_ground(theme, ink, ground):
    named = themes()[theme]
    assert contrast(named[ink], named[ground]) >= 4.5


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("part", "ground"), PARTS)
def test_parts_of_controls_and_pictures_stand_out(theme, part, ground):
    named = themes()[theme]
    assert contrast(named[part], named[ground]) >= 3


def test_both_ways_to_dark_are_the_same_dark():
    assert themes()["dark"] == themes()["dark by choice"]


def test_dark_names_every_colour_that_light_names():
    assert set(themes()["dark"]) == set(themes()["light"])
    assert len(themes()["light"]) > 15


def test_no_colour_stands_outside_the_tokens():
    named = r"#[0-9a-f]{3,8}\b|\b(?:rgb|hsl|oklch|lab)a?\(|:\s*(?:white|black|red|blue|green|gr[ae]y)\b"
    for path in CSS.rglob("*.css"):
        if path.name != "tokens.css":
            rules = re.sub(r"/\*.*?\*/", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
            assert re.findall(named, rules) == [], path.name


def test_every_token_used_is_named_and_nothing_is_forced():
    declared = set(re.findall(r"(--[a-z0-9-]+):", TOKENS))
    for path in CSS.rglob("*.css"):
        text = path.read_text(encoding="utf-8")
        assert set(re.findall(r"var\((--[a-z0-9-]+)", text)) <= declared, path.name
        assert "!important" not in text, path.name


def test_every_class_a_template_names_has_a_rule_or_a_reason():
    rules = "".join(path.read_text(encoding="utf-8") for path in CSS.rglob("*.css"))
    styled = set(re.findall(r"\.([a-z][a-z0-9-]+)", rules))
    for path in (Path(assets.__file__).parent / "templates").rglob("*.html"):
        for names in re.findall(r'class="([a-z0-9 -]+)"', path.read_text(encoding="utf-8")):
            assert set(names.split()) <= styled, f"{path.name}: {names}"
