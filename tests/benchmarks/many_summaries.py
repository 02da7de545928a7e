"""How long a thousand summaries take, two charts, an e-mail and a PDF each.

``python -m tests.benchmarks.many_summaries``

An invented company of 1,000 clients with a site, a controller and eight zones each, a season of weather;
figures are made in batches, printed in as many fresh processes as there are cores, and stored as letters.
Beside it: bare PDFs of the same sheet from one process.
"""

import os
import tempfile
import time
from datetime import date
from pathlib import Path

CLIENTS = int(os.environ.get("BLUESTEM_LOAD_CLIENTS", "1000"))
MONTH = date(2026, 6, 1)
SETTINGS = {
    "DJANGO_SETTINGS_MODULE": "config.settings",
    "BLUESTEM_ENV_FILE": "",
    "BLUESTEM_SECRET_KEY": "l" * 50,
    "BLUESTEM_HOSTS": "127.0.0.1",
    "BLUESTEM_AS_OF": "2026-07-14",
    "BLUESTEM_WEATHER_SOURCE": "invented",
}


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update(SETTINGS | {"DATABASE_URL": f"sqlite:///{folder}/summaries.sqlite3"})
        os.environ["BLUESTEM_MEDIA"] = str(Path(folder) / "media")
        import django

        django.setup()
        measured()


def measured() -> None:
    from django.core.management import call_command

    from desk.summaries.jobs import job_of
    from desk.summaries.printing import printed
    from desk.summaries.send import print_approved, to_print
    from fleet.models import Client, Letter
    from reports.models import Summary
    from reports.paper.press import pdf
    from reports.services.summaries import approve, make
    from tests.benchmarks import whole_night

    call_command("migrate", verbosity=0)
    whole_night.build(CLIENTS)
    Client.objects.update(access_from=date(2026, 1, 1), email="reader@load.test")
    clients = list(Client.objects.select_related("company").order_by("pk"))
    began = time.perf_counter()
    rows = make(clients, MONTH)
    figures = time.perf_counter() - began
    some = [row for row in rows if not row.figures["empty"]]
    for row in some:
        approve(row, by=None)
    began = time.perf_counter()
    print_approved(to_print())
    printing = time.perf_counter() - began
    job = job_of(Summary.objects.select_related("client__company").get(pk=some[0].pk))
    printed(job)
    began = time.perf_counter()
    for _ in range(50):
        printed(job)
    alone = (time.perf_counter() - began) / 50
    from desk.summaries.printing import _charts, _paper
    from desk.summaries.words import summary_words

    sheet = _paper(job, summary_words(job.figures), _charts(job.figures))
    began = time.perf_counter()
    for _ in range(50):
        pdf("summary", sheet, on=job.on)
    bare = (time.perf_counter() - began) / 50
    letters = Letter.objects.count()
    print(f"{len(some):,} summaries of {len(clients):,} clients, {letters:,} letters, {os.cpu_count()} cores")
    print(f"  figures            {figures:6.1f} s, {figures / len(clients) * 1000:.0f} ms a client")
    print(f"  printed and stored {printing:6.1f} s, {printing / len(some) * 1000:.0f} ms a summary")
    print(f"  together           {figures + printing:6.1f} s (aim: 75 s for 1,000 on 2 cores)")
    ratio = f"{alone / bare:.1f} times its bare PDF ({bare * 1000:.0f} ms)"
    print(f"  one in one process {alone * 1000:6.0f} ms, {ratio}")


if __name__ == "__main__":
    main()
