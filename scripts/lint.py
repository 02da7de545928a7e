"""Check what can be checked without running the service; every check runs, then the failed ones are named."""

import secrets
import subprocess
import sys
from pathlib import Path

from scripts.bootstrap import ROOT, say
from scripts.service import clean_environment

BIN = Path(sys.executable).parent
PRODUCTION = {
    "BLUESTEM_ENV_FILE": "",
    "DATABASE_URL": "sqlite://:memory:",
    "BLUESTEM_SECRET_KEY": secrets.token_urlsafe(64),
    "BLUESTEM_HOSTS": "bluestem.example.org",
    "BLUESTEM_ORIGINS": "https://bluestem.example.org",
    "BLUESTEM_HTTPS": "1",
}
TEMPLATES = sorted(str(page.relative_to(ROOT)) for page in ROOT.glob("*/templates/**/*.html"))
CHECKS: dict[str, list[str]] = {
    "style (ruff check)": [str(BIN / "ruff"), "check", "."],
    "layout (ruff format)": [str(BIN / "ruff"), "format", "--check", "."],
    "types (mypy)": [str(BIN / "mypy")],
    "who imports whom (import-linter)": [str(BIN / "lint-imports")],
    "migrations": [sys.executable, "manage.py", "makemigrations", "--check", "--dry-run"],
    "deployment": [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
}
if TEMPLATES:
    CHECKS["templates (djlint)"] = [str(BIN / "djlint"), "--lint", "--quiet", *TEMPLATES]


def passes(name: str, command: list[str]) -> bool:
    """Run one check; show its output only where it fails."""
    done = subprocess.run(
        command,
        cwd=ROOT,
        env=clean_environment() | PRODUCTION,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    say(f"{'ok    ' if done.returncode == 0 else 'FAILED'}  {name}")
    if done.returncode:
        say(done.stdout)
    return done.returncode == 0


def main() -> int:
    (ROOT / ".build" / "static").mkdir(parents=True, exist_ok=True)  # else Django warns that it is missing
    failed = [name for name, command in CHECKS.items() if not passes(name, command)]
    say(f"Failed: {', '.join(failed)}" if failed else "All checks passed.")
    return int(bool(failed))


if __name__ == "__main__":
    sys.exit(main())
