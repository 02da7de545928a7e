"""Make ``.venv`` and put the locked packages into it, with nothing but Python's standard library.

    python3 -m scripts.bootstrap          what the service runs on
    python3 -m scripts.bootstrap --dev    and what the tests and checks need besides

A stamp is written last, so a set-up that was cut short is known for what it is and made afresh.
"""

import argparse
import hashlib
import json
import shutil
import subprocess
import sys
from pathlib import Path

from scripts.install import install

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
RUN_LOCK = ROOT / "requirements.lock.txt"
DEV_LOCK = ROOT / "requirements-dev.lock.txt"
BEGUN = "bluestem-begun"
STAMP = "bluestem-installed.json"

PACKAGES = (
    "import importlib.metadata as m, json, pip, sys;"
    "print(json.dumps([sys.version_info[:2], {d.name: d.version for d in m.distributions()}]))"
)


class Stopped(Exception):
    """The set-up can't go on; the message says why and what to do."""


def say(message: str) -> None:
    print(message, flush=True)


def python_of(venv: Path) -> Path:
    return venv / "bin" / "python"


def packages(venv: Path) -> dict[str, str] | None:
    """Return the packages of an environment; None if its Python doesn't start or isn't this version."""
    try:
        answer = subprocess.run(
            [python_of(venv), "-I", "-c", PACKAGES], capture_output=True, text=True, check=True
        )
        version, found = json.loads(answer.stdout)
    except (OSError, ValueError, subprocess.CalledProcessError):
        return None
    return found if tuple(version) == sys.version_info[:2] else None


def stamped(venv: Path) -> dict[str, dict[str, str]]:
    """Return what the last finished set-up wrote: the locks' checksums and every package."""
    try:
        stamp = json.loads((venv / STAMP).read_text())
        return {"locks": dict(stamp["locks"]), "packages": dict(stamp["packages"])}
    except (OSError, ValueError, KeyError, TypeError):
        return {"locks": {}, "packages": {}}


def checksum(lock: Path) -> str:
    return hashlib.sha256(lock.read_bytes()).hexdigest()


def create(venv: Path) -> None:
    """Make an empty environment, marked as begun before anything else."""
    venv.mkdir()
    (venv / BEGUN).write_text("made by scripts/bootstrap.py\n")
    made = subprocess.run([sys.executable, "-m", "venv", venv], capture_output=True, text=True, check=False)
    if made.returncode:
        shutil.rmtree(venv)
        raise Stopped(
            f"Python could not make a virtual environment:\n{(made.stderr or made.stdout).strip()}\n"
            "On Debian and Ubuntu the package python3-venv is what is missing."
        )


def fit(venv: Path, present: dict[str, str] | None) -> bool:
    """Say whether the environment can be kept, if need be mended; tell why not."""
    if present is None:
        say(f"{venv.name} doesn't start, or was made with another Python: making it afresh.")
    elif (venv / BEGUN).exists() and not (venv / STAMP).exists():
        say(f"An earlier set-up of {venv.name} was cut short: making it afresh.")
    else:
        return True
    return False


def finished(venv: Path, *, wanted: dict[str, str], present: dict[str, str]) -> bool:
    """Say whether nothing is left to do; tell what is, unless the environment is new."""
    stamp = stamped(venv)
    lost = sorted(name for name, version in stamp["packages"].items() if present.get(name) != version)
    if lost:
        say(f"{venv.name} has lost or changed {', '.join(lost[:3])}: putting it right.")
    elif wanted.items() <= stamp["locks"].items():
        return True
    elif stamp["locks"]:
        say(f"The locked packages have changed or are more now: bringing {venv.name} up to them.")
    elif not (venv / BEGUN).exists():
        say(f"{venv.name} was made by hand: adding what is missing.")
    return False


def ensure(*, dev: bool = False, venv: Path = VENV) -> None:
    """Bring the environment to the locked state; a finished one is left as it is within a second."""
    present = packages(venv) if venv.exists() else None
    if venv.exists() and not fit(venv, present):
        shutil.rmtree(venv)
    if not venv.exists():
        say(f"Making {venv.name} with Python {sys.version.split()[0]} ...")
        create(venv)
    # Once the tests' packages are in, a later plain set-up keeps them.
    lock = DEV_LOCK if dev or DEV_LOCK.name in stamped(venv)["locks"] else RUN_LOCK
    wanted = {each.name: checksum(each) for each in (RUN_LOCK, lock)}
    if finished(venv, wanted=wanted, present=present or {}):
        return
    (venv / STAMP).unlink(missing_ok=True)
    if not install(lock, python=python_of(venv), installer_lock=DEV_LOCK):
        raise Stopped("The packages could not be installed; above is why. The same command starts afresh.")
    # The tests' lock holds every pin of the service's own; a test watches that.
    (venv / STAMP).write_text(json.dumps({"locks": wanted, "packages": packages(venv)}, indent=1))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--dev", action="store_true", help="what the tests and checks need, too")
    try:
        ensure(dev=parser.parse_args().dev)
    except Stopped as stopped:
        print(stopped, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
