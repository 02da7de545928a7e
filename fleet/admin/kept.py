"""Pages of rows that people edit: what each was, who changed it, and what has been deleted."""

from collections.abc import Sequence
from typing import Any

from django.contrib.admin.utils import unquote
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.template.response import TemplateResponse
from django.urls import path
from simple_history.admin import SimpleHistoryAdmin

from fleet.admin.differences import all_fields, differences, named, summary

DELETED_AT_ONCE = 100


class KeptAdmin(SimpleHistoryAdmin):
    """The page of a model with ``history = Kept()``: what a row was can be read, not put back by a click."""

    object_history_template: Any = "back_office/history.html"
    history_list_per_page = 50
    history_related: tuple[str, ...] = ()  # what the words of a related row need beside it
    show_full_result_count = False
    list_per_page = 50
    change_list_template: Any = "back_office/kept_list.html"

    def get_urls(self) -> list[Any]:
        name = f"{self.opts.app_label}_{self.opts.model_name}_deleted"
        view = self.admin_site.admin_view(self.deleted_view)
        return [path("deleted/", view, name=name), *super().get_urls()]

    def history_view(self, request: HttpRequest, object_id: str, extra_context: Any = None) -> HttpResponse:
        self._number(object_id)
        return super().history_view(request, object_id, extra_context)

    def history_form_view(
        self, request: HttpRequest, object_id: str, version_id: str, extra_context: Any = None
    ) -> HttpResponse:
        """Show every field of one earlier row."""
        if not self.has_view_or_change_permission(request):
            raise PermissionDenied
        earlier = self._earlier().filter(**{self.opts.pk.attname: self._number(object_id)})
        row = get_object_or_404(earlier, pk=self._number(version_id))
        context = {"title": "As it was", "row": row, "fields": all_fields(row), "object_id": object_id}
        return self._page(request, "back_office/as_it_was.html", context)

    def deleted_view(self, request: HttpRequest) -> HttpResponse:
        """List what was deleted, newest first, each leading to its history."""
        if not self.has_view_or_change_permission(request):
            raise PermissionDenied
        rows = Paginator(self._earlier().filter(history_type="-"), DELETED_AT_ONCE)
        page = rows.get_page(request.GET.get("p"))
        for row in page:
            row.words = summary(row)
        context = {"title": f"Deleted {self.opts.verbose_name_plural}", "rows": page}
        return self._page(request, "back_office/deleted.html", context)

    def history_view_title(self, request: HttpRequest, obj: Any) -> str:
        return f"History of {named(obj)}"

    def get_history_queryset(
        self, request: HttpRequest, history_manager: Any, pk_name: str, object_id: Any
    ) -> QuerySet[Any]:
        rows = super().get_history_queryset(request, history_manager, pk_name, object_id)
        return rows.select_related("history_user", *self._relations())

    def set_history_delta_changes(
        self, request: HttpRequest, historical_records: Any, foreign_keys_are_objs: bool = True
    ) -> None:
        records: Sequence[Any] = list(historical_records)
        if not records:
            return
        before = self._earlier().filter(
            **{self.opts.pk.attname: getattr(records[0], self.opts.pk.attname)},
            pk__lt=records[-1].pk,
        )
        for now, was in zip(records, [*records[1:], before.first()], strict=True):
            now.differences = differences(was, now) if was else []

    def _earlier(self) -> QuerySet[Any]:
        rows: QuerySet[Any] = self.model.history.all()
        return rows.select_related("history_user", *self._relations())

    def _relations(self) -> list[str]:
        fields = self.model.history.model.tracked_fields
        return [*(field.name for field in fields if field.is_relation), *self.history_related]

    def _number(self, text: str) -> int:
        try:
            return int(self.opts.pk.to_python(unquote(text)))
        except (TypeError, ValidationError):
            raise Http404 from None

    def _page(self, request: HttpRequest, template: str, context: dict[str, Any]) -> HttpResponse:
        common = {**self.admin_site.each_context(request), "opts": self.opts, "is_popup": False}
        return TemplateResponse(request, template, {**common, **context})
