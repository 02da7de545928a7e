"""The palette, computed: contrast as WCAG 2.2 has it, and colours that people who see fewer can tell apart.

Contrast: WCAG 2.2, "relative luminance" and "contrast ratio"; success criteria 1.4.3 (text, 4.5 to 1) and
1.4.11 (parts of controls and charts, 3 to 1). Colour vision: Machado et al. 2009 as colorspacious computes
it, distances in CAM02-UCS. That ten units are told apart at a glance is common practice, no source.
"""

import itertools
import re
from pathlib import Path

import numpy as np
import pytest
from colorspacious import cspace_convert, deltaE
from django.conf import settings

TOKENS = Path(settings.BASE_DIR, "desk/static/desk/tokens.css").read_text()
SCHEMES = {
    name: dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))
    for name, block in zip(("light", "dark"), TOKENS.split("@media"), strict=True)
}
PAPERS = ("paper", "sheet")
WASHES = ("accent-wash", "need-wash", "stop-wash")
TEXTS = ("ink", "soft", "accent", "need", "stop", "fine")
LINES = ("field", "keep", "water", "soil", "accent", "need", "stop")
COURSES = ("accent", "keep", "soil")  # of the savings chart, told apart by colour and place alone
SIGHTS = ("normal", "deuteranomaly", "protanomaly", "tritanomaly")


def channels(colour: str) -> np.ndarray:
    return np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])


def luminance(colour: str) -> float:
    c = channels(colour)
    linear = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted([luminance(one), luminance(other)])
    return (lighter + 0.05) / (darker + 0.05)


def as_seen(colour: str, sight: str) -> np.ndarray:
    if sight == "normal":
        return channels(colour)
    space = {"name": "sRGB1+CVD", "cvd_type": sight, "severity": 100}
    return np.clip(cspace_convert(channels(colour), space, "sRGB1"), 0, 1)


def test_the_contrast_of_well_known_pairs():
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)  # WCAG 2.2, definition: 1 to 21
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)  # from memory: the lightest grey


@pytest.mark.parametrize("scheme", SCHEMES)
def test_words_stand_out_from_what_they_are_written_on(scheme):
    tokens = SCHEMES[scheme]
    pairs = {
        (text, paper): contrast(tokens[text], tokens[paper])
        for text, paper in itertools.product(TEXTS, PAPERS + WASHES)
    }
    pairs["tally-ink", "tally"] = contrast(tokens["tally-ink"], tokens["tally"])
    pairs["accent-ink", "accent"] = contrast(tokens["accent-ink"], tokens["accent"])
    assert {pair: round(ratio, 2) for pair, ratio in pairs.items() if ratio < 4.5} == {}


@pytest.mark.parametrize("scheme", SCHEMES)
def test_controls_and_lines_stand_out_from_the_paper(scheme):
    tokens = SCHEMES[scheme]
    pairs = {
        (line, paper): contrast(tokens[line], tokens[paper])
        for line, paper in itertools.product(LINES, PAPERS)
    }
    assert {pair: round(ratio, 2) for pair, ratio in pairs.items() if ratio < 3} == {}


@pytest.mark.parametrize("sight", SIGHTS)
@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_courses_of_a_chart_are_told_apart_by_everyone(scheme, sight):
    seen = {name: as_seen(SCHEMES[scheme][name], sight) for name in COURSES}
    apart = {
        (one, other): float(deltaE(seen[one], seen[other], input_space="sRGB1"))
        for one, other in itertools.combinations(COURSES, 2)
    }
    assert {pair: round(distance, 1) for pair, distance in apart.items() if distance < 10} == {}


def test_every_colour_of_a_page_is_a_token():
    """Colours elsewhere would be missing in the dark and in this test; the paper of a print is meant."""
    css = Path(settings.BASE_DIR, "desk/static/desk/ledger.css").read_text()
    assert set(re.findall(r"#[0-9a-fA-F]{3,8}\b(?=[^{}]*[;}])", css)) <= {"#fff"}
