"""Forget the demo's data, once somebody has said yes. The next ``make demo`` makes it anew."""

import os
import shutil
import sys
from pathlib import Path

from scripts import demo_settings
from scripts.bootstrap import Stopped, say
from scripts.demo import VAR
from scripts.ports import taken

DATABASE = VAR / "bluestem.sqlite3"
PHOTOS = "media/photos"  # below VAR
ELSEWHERE = {"DATABASE_URL": "another database", "BLUESTEM_MEDIA": "another place for photos"}


def served(folder: Path) -> bool:
    """Say whether a server of the demo still answers on the port its file is named after."""
    return any(taken(int(file.stem.removeprefix("demo-"))) for file in folder.glob("demo-*.pid"))


def check() -> None:
    demo_settings.check(demo_settings.ENV_FILE)
    text = demo_settings.ENV_FILE.read_text() if demo_settings.ENV_FILE.exists() else ""
    for name, what in ELSEWHERE.items():
        if f"{name}=" in text:
            raise Stopped(f".env names {what} ({name}), which this command doesn't touch.")
    if served(VAR):
        raise Stopped("The demo is still being served: stop it first (Ctrl+C where it runs).")


def confirmed() -> bool:
    if os.environ.get("CONFIRM") == "yes":
        return True
    if not sys.stdin.isatty():
        raise Stopped("Nobody is there to confirm. To mean it all the same: CONFIRM=yes make demo-reset")
    return input(f"Remove var/{DATABASE.name} and all the demo's data? Type yes: ") == "yes"


def main() -> int:
    try:
        check()
        files = sorted(VAR.glob(f"{DATABASE.name}*"))
        if not files:
            say("There is no demo data to remove.")
        elif confirmed():
            for file in files:
                file.unlink()
            if (photos := VAR / PHOTOS).is_dir():
                shutil.rmtree(photos)
            say("Removed. make demo makes it anew.")
        else:
            say("Nothing was removed.")
    except Stopped as stopped:
        print(stopped, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
