"""How gunicorn serves the demo, and what it says once it does."""

import os
from typing import Any

workers = 2
threads = 4
timeout = 60
loglevel = "warning"
control_socket_disable = True


def when_ready(server: Any) -> None:
    """Tell where the demo is and who may sign in; gunicorn calls this when it listens."""
    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
    django.setup()
    print(welcome(f"http://{server.cfg.bind[0]}/"), flush=True)


def welcome(address: str) -> str:
    from django.conf import settings

    from scheduling.demo.company import COMPANY, PASSWORD, PEOPLE

    people = "\n".join(f"    {one.email:<28}{one.role or 'client':<12}{one.name}" for one in PEOPLE)
    return (
        f"\n{COMPANY} (invented), on {settings.AS_OF or 'today'}: {address}\n"
        f"Sign in with the password {PASSWORD} as\n{people}\n"
        "Ctrl+C stops the server. make demo-reset forgets the data.\n"
    )
