"""The colours of the pictures: told apart by those who see few colours, and in grey.

Every class of things has a shade of its own, in even steps from light to dark, and beside it a pattern, so that a
picture can be read after a photocopier has been at it.
"""

from __future__ import annotations

import attrs

# Dark ink on white paper, three greys, and one plain colour for what is not told apart.
INK, QUIET, LINE, PAPER = "#1d2022", "#4a4e50", "#7d8284", "#ffffff"
EDGE, HEADING, GROUND, PLAIN, ACCENT = "#b9bdbe", "#f0efea", "#f4f5f5", "#4f7f9c", "#9c3f1d"


@attrs.frozen
class Fill:
    """How an area is filled: a colour, and a pattern of lines or dots."""

    colour: str = PAPER
    pattern: str = ""


# Cream, sky, straw, sage, brick, blue, plum, pine: each about nine steps of lightness (of 100) below the one before.
COLOURS = ("#f4ebd0", "#a0daf3", "#e2b15d", "#77ad85", "#c37460", "#3876ab", "#854468", "#14434d")
_PATTERNS = ("", "....", "////", "", "xxxx", "", "\\\\\\\\", "")
_MORE = ("xxxx", "----", "||||", "....", "////")

FILLS = (
    *(Fill(colour, pattern) for colour, pattern in zip(COLOURS, _PATTERNS, strict=True)),
    *(Fill(colour, pattern) for colour, pattern in zip(COLOURS[:5], _MORE, strict=True)),
)
"""One for each class of a picture, in this order; dark colours have no second pattern, which could not be seen."""

LOST = Fill("#d9d9d9", "xxxx")
"""What dies."""

UNKNOWN = Fill(PAPER, "////")
"""What is not on record."""

# Dark to tell from paper, and the same hue throughout: more of it is more.
_DEEP = "#14435f"


# The luminance at which small print in a quiet grey has a contrast of 4.5 : 1 or more.
_LIGHT_ENOUGH = 0.52


def shade(amount: float) -> str:
    """From paper to deep blue, for an amount from 0 to 1; in even steps of lightness to the eye."""
    return mixed(_DEEP, PAPER, amount)


def pale(colour: str) -> str:
    """A tint of a colour, light enough to write on."""
    amount = 0.42
    while luminance(mixed(colour, PAPER, amount)) < _LIGHT_ENOUGH:
        amount -= 0.02
    return mixed(colour, PAPER, amount)


def mixed(colour: str, other: str, amount: float) -> str:
    """So much of a colour, and the rest of another."""
    pairs = zip(_parts(colour), _parts(other), strict=True)
    return "#" + "".join(f"{round(amount * own + (1 - amount) * rest):02x}" for own, rest in pairs)


def luminance(colour: str) -> float:
    """How light a colour is in grey, from 0 to 1: the relative luminance of the sRGB standard (IEC 61966-2-1)."""
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in _shares(colour)]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def ink_on(colour: str) -> str:
    """Dark ink or white, whichever stands out more."""
    light = luminance(colour)
    on_light = (light + 0.05) / (luminance(INK) + 0.05)
    on_dark = 1.05 / (light + 0.05)
    return INK if on_light >= on_dark else PAPER


def _parts(colour: str) -> list[int]:
    return [int(colour[at : at + 2], 16) for at in (1, 3, 5)]


def _shares(colour: str) -> list[float]:
    return [part / 255 for part in _parts(colour)]
