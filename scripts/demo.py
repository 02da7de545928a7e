"""Bring up the demo: an invented contractor on an invented summer day, served to this machine alone.

    make demo                on http://127.0.0.1:8000/
    PORT=8100 make demo      on another port

Nothing but Python's standard library: it starts before any package is installed.
"""

import argparse
import os
import sys

from scripts import demo_settings
from scripts.bootstrap import ROOT, VENV, Stopped, ensure, python_of
from scripts.ports import why_not
from scripts.service import build_charts, clean_environment, run

VAR = ROOT / "var"


def check_port(port: int) -> None:
    if reason := why_not(port):
        raise Stopped(reason)


def prepare() -> None:
    """Bring files and data up to date. Each step is quick, and harmless, if it was done before."""
    for folder in (VAR, ROOT / "staticfiles"):
        folder.mkdir(exist_ok=True)
    build_charts()
    run("-m", "scripts.demo_data")


def serve(port: int) -> None:
    """Become the server. Two processes, so that one busy drawing a chart never holds up every page."""
    command = [str(python_of(VENV)), "-m", "gunicorn", "config.wsgi:application"]
    command += ["--config", "python:scripts.demo_server"]
    pid_file = VAR / f"demo-{port}.pid"
    pid_file.unlink(missing_ok=True)  # the port is free: whatever wrote it is gone
    command += ["--bind", f"127.0.0.1:{port}", "--pid", str(pid_file)]
    os.chdir(ROOT)
    os.execve(command[0], command, clean_environment())


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--port", type=int, default=8000)
    port = parser.parse_args().port
    try:
        check_port(port)
        demo_settings.check()
        ensure()
        demo_settings.write()
        prepare()
        check_port(port)
        serve(port)
    except Stopped as stopped:
        print(stopped, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped. The same command goes on from here.", file=sys.stderr)
        return 130
    return 0


if __name__ == "__main__":
    sys.exit(main())
