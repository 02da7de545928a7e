"""``manage.py advise``: the advice on every open site computed anew; once a night is plenty."""

from typing import Any

from django.core.management.base import BaseCommand

from scheduling.services.advising import advise, open_sites


class Command(BaseCommand):
    help = "Compute what would save water or plants at every open site. Running it twice changes nothing."

    def handle(self, *args: Any, **options: Any) -> None:
        sites = open_sites()
        self.stdout.write(f"{advise(sites)} lines of advice on {len(sites)} sites")
