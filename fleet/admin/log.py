"""What was done in the back office, by whom."""

from django.contrib import admin
from django.contrib.admin.models import LogEntry

from common.back_office.read_only import ReadOnlyAdmin


@admin.register(LogEntry)
class LogAdmin(ReadOnlyAdmin):
    list_display = ("action_time", "user", "content_type", "object_repr", "action_flag", "told")
    list_select_related = ("user", "content_type")
    list_filter = ("action_flag", "action_time", "content_type")
    search_fields = ("object_repr", "change_message", "user__email")

    @admin.display(description="what")
    def told(self, entry: LogEntry) -> str:
        return entry.get_change_message()
