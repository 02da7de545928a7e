"""Processes: a name that says whether one still runs, and how a fresh one begins."""

import os
import socket
from pathlib import Path

import django


def begin() -> None:
    """Set a fresh process up: it must be able to before it reads anything that needs models."""
    django.setup()


def this_process() -> str:
    """Return a name for this process: the machine, its number, and when it began."""
    return _named(os.getpid())


def is_gone(name: str) -> bool:
    """Tell whether a process of that name surely runs no more.

    Of another machine nobody can know here, so the answer is no; so it is for an empty name.
    """
    machine, _, rest = name.rpartition("/")
    number, _, _ = rest.partition("@")
    if machine != socket.gethostname() or not number.isdigit():
        return False
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return True
    except PermissionError:
        return False
    return _named(int(number)) != name


def _named(number: int) -> str:
    return f"{socket.gethostname()}/{number}@{_began(number)}"


def _began(number: int) -> str:
    """Return when a process began, in the kernel's own ticks; "" where the system doesn't tell."""
    try:
        told = Path(f"/proc/{number}/stat").read_text()
    except OSError:
        return ""
    return told.rpartition(")")[2].split()[19]
