"""The colours hold against published rules: WCAG 2 contrast, and colour-blind sight as simulated by
Machado et al.

Machado, Oliveira and Fernandes, "A physiologically-based model for simulation of color vision
deficiency", 2009:
matrices at severity 1 from their table. CIELAB (1976) differences; 10 is plainly seen side by side.
"""

import itertools

import numpy as np
import pytest

from sim.pictures.colours import (
    BLACK_EDGE,
    BLACK_LEFT,
    DARK,
    FINISH,
    LAYER_COLOURS,
    LIGHT,
    NEUTRAL,
    NOT_JUDGED,
    RIPPLE,
    STOCK_MUCH,
    STOCK_SOME,
    THICKNESS,
    VERDICT_COLOURS,
    WORN,
    even_scale,
    mixed,
    rgb,
    stock_scale,
)

SIGHTS = {
    "usual": np.eye(3),
    "protan": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deutan": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "tritan": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}
TO_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)


def linear(name):
    c = np.array(rgb(name)) / 255.0
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def contrast(one, other):
    light, dark = sorted((float(linear(c) @ TO_XYZ[1]) for c in (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def lab(name, sight):
    xyz = TO_XYZ @ np.clip(np.array(SIGHTS[sight]) @ linear(name), 0, 1) / [0.95047, 1.0, 1.08883]
    f = np.where(xyz > 0.008856, np.cbrt(xyz), 7.787 * xyz + 16 / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def apart(one, other, sight):
    return float(np.linalg.norm(lab(one, sight) - lab(other, sight)))


def test_contrast_of_known_colours():
    """WCAG 2.2: black on white is 21 to 1; #767676 on white is the well-known 4.54 to 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("surface", [LIGHT, DARK])
def test_words_can_be_read(surface):
    """WCAG 2.2, 1.4.3: 4.5 to 1 for words."""
    for ground in (surface.background, surface.panel):
        assert contrast(surface.ink, ground) > 7.0
        assert contrast(surface.quiet, ground) > 4.5


def test_parts_of_a_picture_can_be_told_from_the_ground():
    """WCAG 2.2, 1.4.11: 3 to 1 for what carries meaning; black left on a dark ground is told by its
    orange edge.
    """
    for line in (*LAYER_COLOURS, FINISH, WORN, BLACK_EDGE):
        assert contrast(line, "#ffffff") > 3.0, line
    for line in (FINISH, BLACK_EDGE):
        assert contrast(line, DARK.background) > 3.0, line
    assert contrast(BLACK_LEFT, BLACK_EDGE) > 3.0
    for shade in (NEUTRAL, STOCK_SOME, STOCK_MUCH):
        assert contrast(BLACK_LEFT, shade) > 3.0, shade


@pytest.mark.parametrize("sight", SIGHTS)
def test_colours_that_meet_are_told_apart_by_every_eye(sight):
    layers = LAYER_COLOURS
    for one, next_one in zip(layers, (*layers[1:], layers[0]), strict=True):
        assert apart(one, next_one, sight) > 20.0, (one, next_one)
    for other in (NEUTRAL, STOCK_SOME, STOCK_MUCH, NOT_JUDGED, BLACK_EDGE):
        assert apart(BLACK_LEFT, other, sight) > 30.0, other
    assert apart(FINISH, BLACK_EDGE, sight) > 15.0
    assert apart(FINISH, WORN, sight) > 10.0


@pytest.mark.parametrize("sight", SIGHTS)
def test_verdicts_are_told_apart_by_every_eye_and_their_words_can_be_read(sight):
    grounds = [ground for ground, _ in VERDICT_COLOURS.values()]
    for one, other in itertools.combinations(grounds, 2):
        assert apart(one, other, sight) > 15.0, (one, other)
    for ground, ink in VERDICT_COLOURS.values():
        assert contrast(ground, ink) > 4.5


@pytest.mark.parametrize(
    "stops", [stock_scale(0.0, 1.0), even_scale(THICKNESS), even_scale(RIPPLE)]
)
@pytest.mark.parametrize("sight", SIGHTS)
def test_scales_darken_steadily(stops, sight):
    shades = ["#{:02x}{:02x}{:02x}".format(*mixed(stops, k / 20)) for k in range(21)]
    assert (np.diff([lab(shade, sight)[0] for shade in shades]) < -0.5).all()


def test_zero_is_neutral_and_black_begins_at_once_below_it():
    stops = stock_scale(-0.5, 1.5)
    assert mixed(stops, 0.25) == rgb(NEUTRAL)
    assert mixed(stops, 0.25 - 1e-9) == rgb(BLACK_LEFT)
    red, green, blue = rgb(NEUTRAL)
    assert max(red, green, blue) - min(red, green, blue) <= 4
    red, green, blue = rgb(STOCK_MUCH)
    assert blue > green > red
