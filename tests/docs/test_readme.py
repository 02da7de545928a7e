"""What the documents name exists, and what exists is named."""

import re
from pathlib import Path

import pytest
from django.conf import settings as django_settings
from django.core.management import get_commands
from django.urls import Resolver404, resolve

from fleet.numerics.heads import OVERHEAD_GROUND_SHARE
from fleet.numerics.plants import PLANTS
from scheduling.numerics.gross_to_net import Application, net_depth, run_time_multiplier, usable_share

ROOT = Path(django_settings.BASE_DIR)
README = (ROOT / "README.md").read_text()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()
SETTINGS = (ROOT / "config" / "settings.py").read_text()
OURS = {"weather", "fleet", "scheduling", "reports", "desk"}


def test_every_setting_is_documented_and_every_documented_one_exists() -> None:
    table = README.split("### Settings")[1]
    read = set(re.findall(r"env(?:iron)?(?:\.\w+)?\(\s*\"([A-Z_]+)\"", SETTINGS))
    documented = set(re.findall(r"`((?:BLUESTEM|DATABASE|CELERY)_[A-Z_]+)`", table))
    assert read == documented


def test_every_command_is_documented_and_every_documented_one_exists() -> None:
    line = next(line for line in README.splitlines() if line.startswith("Commands: "))
    ours = {name for name, app in get_commands().items() if app in OURS}
    assert set(re.findall(r"`(\w+)`", line)) == ours


@pytest.mark.parametrize("address", sorted(set(re.findall(r"/api/v1/[a-z0-9/-]*", README))))
def test_every_address_in_the_readme_is_served(address: str) -> None:
    try:
        resolve(address)
    except Resolver404:
        pytest.fail(f"{address} isn't served")


def test_every_file_the_documents_name_exists() -> None:
    named = re.findall(r"`?((?:scheduling|weather|fleet|desk|config)/[a-z_/]+\.py)`?", README + DEVELOPERS)
    assert named
    assert [name for name in named if not (ROOT / name).exists()] == []


def test_every_locked_package_asked_for_has_its_line() -> None:
    asked = re.findall(r"^([A-Za-z-]+)", (ROOT / "requirements.in").read_text(), re.M)
    missing = [name for name in asked if name.lower() not in DEVELOPERS.lower() and name != "tzdata"]
    assert missing == ["drf-spectacular-sidecar"] or missing == []


def test_the_worked_number_is_right() -> None:
    """The lines of README's "One worked number", computed by the service's own functions."""
    rtm = float(run_time_multiplier(0.70))
    usable = float(usable_share(0.70))
    lawn = Application(
        rate_mm_h=12.0,
        ground_share=OVERHEAD_GROUND_SHARE,
        usable_share=usable,
        intake_mm_h=8.9,
        accumulation_mm=7.62,
    )
    chain = net_depth(40.0, lawn)
    july = PLANTS["cool_turf"].coefficient.value[6]
    for text in (
        f"{float(chain.gross_mm):.2f} mm leaves the heads",
        f"{float(chain.gross_mm - chain.air_mm):.2f} mm\n",
        f"{rtm:.2f}\n",
        f"{usable:.2f}\n",
        f"{float(chain.net_mm):.2f} mm a start reaches the roots",
        f"6.5 x {july} = {6.5 * july:.2f} mm a day, {7 * 6.5 * july:.1f} mm a week",
        f"give {4 * float(chain.net_mm):.1f} mm",
    ):
        assert text in README, text
