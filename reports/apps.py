from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "reports"

    def ready(self) -> None:
        """Look at the use of water after every night."""
        from reports.services.look_at_use import look_at_use
        from scheduling.services.after_night import after_night

        after_night(look_at_use)
