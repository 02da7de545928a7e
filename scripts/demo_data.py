"""Bring the demo's data up to date in one start of the service; a step done before is done in no time."""

import os
import sys

import django
from django.core.management import CommandError, call_command


def main() -> int:
    os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
    django.setup()
    try:
        print("Preparing the database ...", flush=True)
        call_command("migrate", verbosity=0, interactive=False)
        call_command("load_demo")
        print("Running the night ...", flush=True)
        call_command("nightly")
        call_command("recompute")
        call_command("advise")
    except CommandError as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
