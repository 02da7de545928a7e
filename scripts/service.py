"""Run the service's own commands with its own Python and no setting from the outside."""

import os
import subprocess

from scripts.bootstrap import ROOT, RUN_LOCK, VENV, Stopped, python_of, say

ELSEWHERE = {"DATABASE_URL", "CELERY_BROKER_URL", "DJANGO_SETTINGS_MODULE", "PYTHONPATH", "VIRTUAL_ENV"}
BUNDLE = ROOT / ".build" / "static" / "desk" / "vega-bundle.js"


def clean_environment() -> dict[str, str]:
    """Return the environment less every setting of ours, so that ``.env`` alone decides."""
    return {k: v for k, v in os.environ.items() if k not in ELSEWHERE and not k.startswith("BLUESTEM_")}


def run(*arguments: str, settings: dict[str, str] | None = None) -> None:
    """Run the environment's Python with these arguments; stop where it fails."""
    environment = clean_environment() | (settings or {})
    if subprocess.run([python_of(VENV), *arguments], cwd=ROOT, env=environment, check=False).returncode:
        raise Stopped(f"{' '.join(arguments)} failed; above is why.")


def build_charts(*, settings: dict[str, str] | None = None) -> None:
    """Build the charts' script for the browser, unless it is newer than the lock it comes from."""
    if BUNDLE.exists() and BUNDLE.stat().st_mtime >= RUN_LOCK.stat().st_mtime:
        return
    say("Building the charts' script ...")
    BUNDLE.parent.mkdir(parents=True, exist_ok=True)  # else Django warns that it is missing
    run("manage.py", "build_charts", settings=settings)
    BUNDLE.touch()
