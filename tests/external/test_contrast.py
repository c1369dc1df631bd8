"""Contrast of every style in every palette, by the published formula.

Source: W3C, Web Content Accessibility Guidelines (WCAG) 2.2, definitions of "relative
luminance" and "contrast ratio"; success criteria 1.4.3 (at least 4.5 to 1) and 1.4.6 (at
least 7 to 1).
"""

from __future__ import annotations

import pytest
from rich.color import Color, ColorSystem
from rich.style import Style

from rounds.presenters.lines import STYLES
from rounds.screens.palettes import PAINTED, PALETTES, Palette, styles

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


@pytest.mark.parametrize("name", GROUNDED)
@pytest.mark.parametrize("style", STYLES)
def test_so_it_is_on_a_terminal_of_256_colours(name: str, style: str) -> None:
    """The library sends the nearest of them, which for a light grey is the next one."""
    painted = styles(name)[style]
    assert painted.color is not None
    assert painted.bgcolor is not None
    letters, ground = (
        c.downgrade(ColorSystem.EIGHT_BIT).get_truecolor() for c in (painted.color, painted.bgcolor)
    )
    assert contrast(Style(color=Color.from_triplet(letters), bgcolor=Color.from_triplet(ground))) >= TEXT


@pytest.mark.parametrize("name", ["dark", "light"])
@pytest.mark.parametrize("style", ["", "strong", *FLAGS])
def test_what_is_read_most_and_what_must_be_seen_have_the_enhanced_contrast(name: str, style: str) -> None:
    assert contrast(styles(name)[style]) >= ENHANCED


@pytest.mark.parametrize("name", GROUNDED)
def test_every_role_has_the_contrast_of_text_on_whatever_ground_it_is_painted(name: str) -> None:
    """Letters of a role that names no ground of its own stand on the palette's, and never on another's."""
    palette = PALETTES[name]
    for role in Palette._fields:
        if role == "ground":
            continue
        letters, _, ground = (getattr(palette, role) or palette.text).partition(" on ")
        pair = Style.parse(f"{letters} on {ground or palette.ground}")
        assert contrast(pair) >= TEXT, f"{role} of {name} is {contrast(pair):.2f} to 1"
    assert {paint.role for paint in PAINTED.values()} == set(Palette._fields) - {"ground"}


@pytest.mark.parametrize("role", ["quiet", "selection"])
def test_control_a_palette_with_too_faint_a_role_is_found(role: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """#7b7b7b on #1c1c1c is 4.0 to 1, and so on a selection of the same two."""
    faint = PALETTES["dark"]._replace(**{role: "#7b7b7b on #1c1c1c"})
    monkeypatch.setitem(PALETTES, "dark", faint)
    with pytest.raises(AssertionError, match=role):
        test_every_role_has_the_contrast_of_text_on_whatever_ground_it_is_painted("dark")
    painted = next(style for style, paint in PAINTED.items() if paint.role == role)
    with pytest.raises(AssertionError):
        test_every_style_is_read_on_the_ground_of_its_palette("dark", painted)


def test_red_has_all_the_contrast_that_red_can_have() -> None:
    """Full red on black is 5.25 to 1; more would need green or blue, and cost the eyes their dark."""
    best = contrast(Style.parse("#ff0000 on #000000"))
    assert best == pytest.approx(5.252, abs=0.001)
    assert all(contrast(styles("red")[style]) == pytest.approx(best) for style in FLAGS)


def test_the_next_red_of_the_cube_would_be_too_faint_for_quiet_text() -> None:
    """A terminal of 256 colours has no red between #d70000, 3.89 to 1 on black, and #ff0000: roles share the one."""
    assert contrast(Style.parse("#d70000 on #000000")) == pytest.approx(3.89, abs=0.01)
    assert {str(style.color and style.color.name) for style in styles("red").values()} == {"#ff0000"}


def test_the_terminals_own_look_has_no_colour_and_no_shape_but_bold_and_reverse() -> None:
    for style in styles("terminal").values():
        assert (style.color, style.bgcolor) == (None, None)
        shapes = (style.underline, style.italic, style.dim, style.blink, style.strike, style.overline)
        assert not any(shapes)
