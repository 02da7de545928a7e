"""The demo's ``.env``: written once, never over somebody's own."""

import secrets
from pathlib import Path

from scripts.bootstrap import ROOT, Stopped, say

ENV_FILE = ROOT / ".env"
ENV_TEXT = """\
# Written by make demo: an invented contractor with invented weather, for this machine alone.
# Never serve real clients with this file. The settings are explained in README.md.
BLUESTEM_DEMO=1
BLUESTEM_DEBUG=0
BLUESTEM_SECRET_KEY={key}
BLUESTEM_AS_OF=2026-07-14
BLUESTEM_WEATHER_SOURCE=invented
BLUESTEM_INVENTED_WEATHER_SEED=1380
"""


def belongs_to_demo(text: str) -> bool:
    lines = {line.strip().lower() for line in text.splitlines()}
    return bool(lines & {"bluestem_demo=1", "bluestem_demo=true"})


def check(path: Path = ENV_FILE) -> None:
    """Refuse to go on over settings that somebody made for something else."""
    if path.exists() and not belongs_to_demo(path.read_text()):
        raise Stopped(
            f"{path.name} holds settings that are not the demo's (it has no line BLUESTEM_DEMO=1),\n"
            "and the demo would put invented clients where they point. Nothing was changed.\n"
            "Move the file away, or run the demo in a fresh copy of the project."
        )


def write(path: Path = ENV_FILE) -> None:
    """Write the settings if there are none: whole or not at all, for the owner's eyes only."""
    if path.exists():
        return
    unfinished = path.with_name(f"{path.name}.new")
    unfinished.touch(mode=0o600)
    unfinished.write_text(ENV_TEXT.format(key=secrets.token_urlsafe(48)))
    unfinished.replace(path)
    say(f"Wrote the demo's settings to {path.name}.")
