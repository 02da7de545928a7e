"""Clients and who may read their sites."""

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse

from common.back_office.confirm import Asked, ask, counted
from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.rows import Rows
from fleet.models import Client, ClientAccess
from fleet.services.closing import close_access


class ClientAccessRows(Rows):
    model = ClientAccess
    autocomplete_fields = ("user",)
    other_end = ("user",)


@admin.register(Client)
class ClientAdmin(TenantAdmin, KeptAdmin):
    list_display = ("name", "company", "access_from", "email")
    list_select_related = ("company",)
    list_filter = (("access_from", admin.EmptyFieldListFilter),)
    search_fields = ("name", "email", "company__name")
    autocomplete_fields = ("company",)
    inlines = (ClientAccessRows,)
    actions = ("close_access",)

    @admin.action(description="Close access of the chosen clients", permissions=("change",))
    def close_access(self, request: HttpRequest, queryset: QuerySet[Client]) -> HttpResponse | None:
        return ask(self, request, queryset, asked=_closing, do=_close)


def _closing(clients: list[Client]) -> Asked:
    people = ClientAccess.objects.filter(client__in=clients).values("user").distinct().count()
    return Asked(
        question="Close access of these clients?",
        tells=(
            f"{counted(people, 'person', 'people')} will no longer see these clients' sites, from now on.",
            "Who may read them stays written down: access is open again once a day is set for it.",
        ),
        button="Close access",
    )


def _close(clients: list[Client]) -> str:
    closed = close_access(clients=clients)
    return f"Access closed; {closed} had been open or due to open."


@admin.register(ClientAccess)
class ClientAccessAdmin(TenantAdmin, KeptAdmin):
    list_display = ("user", "client", "company", "access_from")
    list_select_related = ("user", "client__company")
    search_fields = ("user__email", "user__name", "client__name")
    autocomplete_fields = ("user", "client")

    @admin.display(ordering="client__company__name")
    def company(self, access: ClientAccess) -> str:
        return access.client.company.name

    @admin.display(ordering="client__access_from", description="access open from")
    def access_from(self, access: ClientAccess) -> object:
        return access.client.access_from
