"""Contrast of every style in every palette, by the published formula.

Source: W3C, Web Content Accessibility Guidelines (WCAG) 2.2, definitions of "relative
luminance" and "contrast ratio"; success criteria 1.4.3 (at least 4.5 to 1) and 1.4.6 (at
least 7 to 1).
"""

from __future__ import annotations

import pytest
from rich.color import Color
from rich.style import Style

from rounds.presenters.lines import STYLES
from rounds.screens.palettes import PALETTES, styles

GROUNDED = [name for name, palette in PALETTES.items() if palette.ground]
FLAGS = ("now", "today", "look", "lock")
TEXT, ENHANCED = 4.5, 7.0


def luminance(colour: Color) -> float:
    def linear(part: int) -> float:
        c = part / 255
        return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4

    r, g, b = colour.get_truecolor()
    return 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)


def contrast(style: Style) -> float:
    """Which of the two is the text does not matter, so reverse does not either."""
    assert style.color is not None
    assert style.bgcolor is not None
    lighter, darker = sorted((luminance(style.color), luminance(style.bgcolor)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_gives_the_published_extremes() -> None:
    """Black on white is 21 to 1, a colour on itself 1 to 1; #767676 is the lightest grey of 4.5 to 1 on white."""
    assert contrast(Style.parse("#000000 on #ffffff")) == pytest.approx(21)
    assert contrast(Style.parse("#af0000 on #af0000")) == pytest.approx(1)
    assert contrast(Style.parse("#767676 on #ffffff")) >= TEXT > contrast(Style.parse("#777777 on #ffffff"))


@pytest.mark.parametrize("name", GROUNDED)
@pytest.mark.parametrize("style", STYLES)
def test_every_style_is_read_on_the_ground_of_its_palette(name: str, style: str) -> None:
    assert contrast(styles(name)[style]) >= TEXT


@pytest.mark.parametrize("name", ["dark", "light"])
@pytest.mark.parametrize("style", ["", "strong", *FLAGS])
def test_what_is_read_most_and_what_must_be_seen_have_the_enhanced_contrast(name: str, style: str) -> None:
    assert contrast(styles(name)[style]) >= ENHANCED


def test_red_has_all_the_contrast_that_red_can_have() -> None:
    """Full red on black is 5.25 to 1; more would need green or blue, and cost the eyes their dark."""
    best = contrast(Style.parse("#ff0000 on #000000"))
    assert best == pytest.approx(5.252, abs=0.001)
    assert all(contrast(styles("red")[style]) == pytest.approx(best) for style in FLAGS)
