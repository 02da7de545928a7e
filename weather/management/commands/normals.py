"""``manage.py normals``: rebuild what a month usually brings from the observed days."""

from typing import Any

from django.core.management.base import BaseCommand

from weather.services.normals import rebuild_normals


class Command(BaseCommand):
    help = "Rebuild monthly normals of reference ET and rain from the observed days that are stored."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(f"{rebuild_normals()} monthly normals.")
