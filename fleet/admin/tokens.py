"""Tokens of the API: to see whose they are and to give them up. They are made by their owners alone."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest
from knox.models import AuthToken

admin.site.unregister(AuthToken)


@admin.register(AuthToken)
class TokenAdmin(admin.ModelAdmin):
    list_display = ("token_key", "user", "created", "expiry")
    list_select_related = ("user",)
    list_filter = ("created", "expiry")
    search_fields = ("user__email", "user__name", "token_key")
    fields = ("token_key", "user", "created", "expiry")
    show_full_result_count = False

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
