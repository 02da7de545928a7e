"""The strict content policy in practice: no style and no script inside a page, nothing from elsewhere."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.template.loader import get_template

FOLDER = Path(settings.BASE_DIR) / "desk" / "templates"
TEMPLATES = sorted(FOLDER.rglob("*.html"))
STATIC = Path(settings.BASE_DIR) / "desk" / "static" / "desk"
E_MAILS = {FOLDER / "desk" / "summaries" / "letter.html"}  # mail programs want styles inside
names = pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)


@names
def test_a_template_can_be_read(path: Path):
    get_template(str(path.relative_to(FOLDER)))


@pytest.mark.parametrize("path", [p for p in TEMPLATES if p not in E_MAILS], ids=lambda path: path.name)
def test_no_style_and_no_script_stands_inside_a_page(path: Path):
    text = path.read_text()
    assert not re.search(r"\sstyle\s*=", text)
    assert "<style" not in text
    assert not re.search(r"<[^>]*\son\w+\s*=", text)
    assert all("src=" in tag or "json_script" in tag for tag in re.findall(r"<script[^>]*>", text))


@names
def test_every_form_that_posts_carries_the_token(path: Path):
    for form in re.findall(r'<form[^%]*?method="post".*?</form>', path.read_text(), re.DOTALL):
        assert "{% csrf_token %}" in form


@names
def test_nothing_is_fetched_from_elsewhere(path: Path):
    assert not re.search(r'(src|href)="(https?:)?//', path.read_text())


@pytest.mark.parametrize("path", sorted(STATIC.glob("*.css")), ids=lambda path: path.name)
def test_style_sheets_fetch_nothing(path: Path):
    text = path.read_text()
    assert "@import" not in text
    assert "url(" not in text


def test_colours_live_in_one_file():
    ledger = re.sub(r"rgb\(0 0 0 / \.\d+\)|#fff\b", "", (STATIC / "ledger.css").read_text())
    assert not re.search(r":\s[^;{]*#[0-9a-f]{3,8}\b", ledger)


def test_every_colour_has_a_dark_one():
    light, dark = (STATIC / "tokens.css").read_text().split("@media")
    colours = {name for name, value in re.findall(r"(--[\w-]+):\s*([^;]+);", light) if value.startswith("#")}
    assert colours == set(re.findall(r"(--[\w-]+):", dark))
