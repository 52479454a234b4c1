"""Colours are told apart in grey and by those who see few of them, and texts stand out from what they stand on."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from matplotlib.colors import to_rgb

from pinfeather.pictures.palette import COLOURS, FILLS, INK, LOST, PAPER, QUIET, ink_on, luminance, pale, shade

# Simulation of colour vision without one kind of cone, on linear RGB (G. M. Machado, M. M. Oliveira &
# L. A. F. Fernandes 2009, IEEE Transactions on Visualization and Computer Graphics 15: 1291-1298; from memory).
WITHOUT = {
    "long": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "middle": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "short": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
    "none": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
}

Colour = tuple[float, ...]


def linear(colour: str) -> Colour:
    return tuple(part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in to_rgb(colour))


def as_seen(colour: str, missing: str) -> Colour:
    parts = linear(colour)
    rows = WITHOUT[missing]
    return tuple(min(max(sum(w * p for w, p in zip(row, parts, strict=True)), 0.0), 1.0) for row in rows)


def lab(parts: Colour) -> Colour:
    """CIE 1976 L*a*b* of linear sRGB, for the white of the standard (D65)."""
    red, green, blue = parts
    sums = (
        (0.4124 * red + 0.3576 * green + 0.1805 * blue) / 0.9505,
        0.2126 * red + 0.7152 * green + 0.0722 * blue,
        (0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.089,
    )
    x, y, z = (value ** (1 / 3) if value > 0.008856 else 7.787 * value + 16 / 116 for value in sums)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def lightness(colour: str) -> float:
    return lab(linear(colour))[0]


def contrast(one: str, other: str) -> float:
    """The ratio of the Web Content Accessibility Guidelines (W3C 2008)."""
    light = sorted((luminance(one), luminance(other)))
    return (light[1] + 0.05) / (light[0] + 0.05)


def test_each_colour_is_a_clear_step_darker_than_the_one_before() -> None:
    steps = [lightness(one) - lightness(other) for one, other in pairwise((PAPER, *COLOURS))]
    assert min(steps) > 6.5
    assert min(steps[1:]) > 8.5


@pytest.mark.parametrize("missing", WITHOUT)
def test_no_two_colours_look_alike_to_anyone(missing: str) -> None:
    seen = [lab(as_seen(colour, missing)) for colour in COLOURS]
    distances = [
        sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) ** 0.5 for one, other in combinations(seen, 2)
    ]
    assert min(distances) > 9


def test_no_two_fills_are_the_same_and_neighbours_differ_in_pattern_too() -> None:
    assert len(set(FILLS)) == len(FILLS)
    assert all(one.pattern != other.pattern for one, other in pairwise(FILLS))


def test_fills_of_one_lightness_differ_in_pattern() -> None:
    """What grey cannot tell apart, lines and dots do."""
    for one, other in combinations((*FILLS, LOST), 2):
        assert abs(lightness(one.colour) - lightness(other.colour)) > 6 or one.pattern != other.pattern


def test_small_print_can_be_read_on_every_tint() -> None:
    grounds = [PAPER, *(pale(fill.colour) for fill in (*FILLS, LOST))]
    assert min(contrast(QUIET, ground) for ground in grounds) >= 4.5
    assert min(contrast(INK, ground) for ground in grounds) >= 7


def test_ink_on_a_full_colour_can_be_read() -> None:
    shades = [shade(step / 6) for step in range(7)]
    assert min(contrast(ink_on(colour), colour) for colour in (*COLOURS, *shades)) >= 4


def test_shades_go_from_paper_to_dark_in_steps_that_grey_can_tell() -> None:
    assert shade(0) == PAPER
    steps = [lightness(shade(at / 6)) - lightness(shade((at + 1) / 6)) for at in range(6)]
    assert min(steps) > 8


def test_luminance_is_that_of_the_standard() -> None:
    """Black is 0, white is 1, and pure red 0.2126 (IEC 61966-2-1)."""
    assert (luminance("#000000"), luminance("#ffffff")) == (0, pytest.approx(1))
    assert luminance("#ff0000") == pytest.approx(0.2126)
