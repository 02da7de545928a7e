"""Write the script that draws charts, from the installed package; nothing is fetched."""

from importlib.metadata import version
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from desk.charts.look import VEGA_LITE

BUNDLE = Path(settings.BASE_DIR) / ".build" / "static" / "desk" / "vega-bundle.js"


class Command(BaseCommand):
    help = "Write the charts' script to .build/static/desk/vega-bundle.js, unless it is up to date."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--force", action="store_true", help="write it again even if it is up to date")

    def handle(self, *args: Any, force: bool = False, **options: Any) -> None:
        stamp = f"/* {_made_of()} */"
        if not force and BUNDLE.is_file() and _first_line(BUNDLE) == stamp:
            self.stdout.write("The charts' script is up to date.")
            return
        BUNDLE.parent.mkdir(parents=True, exist_ok=True)
        unfinished = BUNDLE.with_suffix(".unfinished")
        unfinished.write_text(f"{stamp}\n(()=>{{{_bundle()}}})();\n", encoding="utf-8")
        unfinished.replace(BUNDLE)
        self.stdout.write(f"Wrote {BUNDLE} ({BUNDLE.stat().st_size // 1024} KB).")


def _made_of() -> str:
    return f"vl-convert {version('vl-convert-python')}, Vega-Lite {VEGA_LITE}"


def _bundle() -> str:
    # Wrapped above: its top-level names have one letter each and would collide with the next script.
    import vl_convert  # here, not above: used before a fork, it hangs in the child

    return str(vl_convert.javascript_bundle(vl_version=VEGA_LITE))  # type: ignore[call-arg]  # has a default


def _first_line(path: Path) -> str:
    with path.open(encoding="utf-8") as lines:
        return lines.readline().rstrip("\n")
