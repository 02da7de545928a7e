"""Install a hashed lock file: with uv where it can be had (seconds), else with pip (under a minute)."""

import re
import subprocess
import tempfile
from pathlib import Path


def pinned(name: str, lock: Path) -> str:
    """Return one package's lines of a lock file, pin and hashes; empty if it isn't there."""
    found = re.search(rf"^{re.escape(name)}==.*\n(?:    .*\n)*", lock.read_text(), re.MULTILINE)
    return found.group(0) if found else ""


def run(*command: str | Path, quiet: bool = False) -> bool:
    try:
        return subprocess.run(command, capture_output=quiet, check=False).returncode == 0
    except OSError:
        return False


def get_uv(python: Path, lock: Path) -> Path | None:
    """Put the pinned uv into the environment and return it; None where that isn't possible."""
    uv = python.parent / "uv"
    if run(uv, "--version", quiet=True):
        return uv
    pin = pinned("uv", lock)
    if not pin:
        return None
    with tempfile.NamedTemporaryFile("w", suffix=".txt") as one:
        one.write(pin)
        one.flush()
        got = run(python, "-m", "pip", "install", "--quiet", "--require-hashes", "-r", one.name, quiet=True)
    return uv if got and run(uv, "--version", quiet=True) else None


def install(lock: Path, *, python: Path, installer_lock: Path) -> bool:
    """Install every package of a lock file, each checked against its hash; say whether all went well."""
    print(f"Installing the packages of {lock.name} ...", flush=True)
    if uv := get_uv(python, installer_lock):
        if run(uv, "pip", "install", "--quiet", "--require-hashes", "--python", python, "-r", lock):
            return True
        print("uv could not do it; trying pip, which takes about a minute ...", flush=True)
    return run(python, "-m", "pip", "install", "--quiet", "--require-hashes", "-r", lock)
