"""Lock the dependencies for every Python the project allows, with hashes and without any address.

Pins that still fit are kept; ``UPGRADE=1 make lock`` takes the newest that fit.
"""

import os
import subprocess
import sys
from pathlib import Path

from scripts.bootstrap import DEV_LOCK, ROOT, RUN_LOCK, say

OPTIONS = ["--universal", "--python-version", "3.11", "--generate-hashes", "--no-header", "--quiet"]
ADDRESS_SIGNS = ("://", "--index-url", "--extra-index-url", "--find-links", "--trusted-host")


def addresses(text: str) -> list[str]:
    """Return the lines of a lock file that say where packages are fetched from; there should be none."""
    return [line for line in text.splitlines() if any(sign in line for sign in ADDRESS_SIGNS)]


def pins(text: str) -> set[str]:
    """Return every pin of a lock file, with its marker: ``pint==0.25.3 ; python_full_version < '3.12'``."""
    return {
        line.removesuffix(" \\") for line in text.splitlines() if "==" in line and not line.startswith(" ")
    }


def disagreements(run_text: str, dev_text: str) -> set[str]:
    """Return the service's pins that the tests' lock doesn't hold just so."""
    return pins(run_text) - pins(dev_text)


def compile_lock(lock: Path) -> None:
    source = lock.name.removesuffix(".lock.txt") + ".in"
    uv = Path(sys.executable).parent / "uv"
    newest = ["--upgrade"] if os.environ.get("UPGRADE") == "1" else []
    subprocess.run([uv, "pip", "compile", *OPTIONS, *newest, source, "-o", lock.name], cwd=ROOT, check=True)
    say(f"Locked {source} in {lock.name}.")


def main() -> int:
    for lock in (RUN_LOCK, DEV_LOCK):
        compile_lock(lock)
        if found := addresses(lock.read_text()):
            print(f"{lock.name} holds addresses, which must not be kept: {found[:3]}", file=sys.stderr)
            return 1
    if apart := disagreements(RUN_LOCK.read_text(), DEV_LOCK.read_text()):
        print(f"The two locks disagree on {', '.join(sorted(apart))}.", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
