"""People, who sign in by e-mail address."""

from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.forms import AdminUserCreationForm, UserChangeForm
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from knox.models import get_token_model

from common.back_office.confirm import Asked, ask, counted
from fleet.admin.by_company import ByCompany
from fleet.admin.kept import KeptAdmin
from fleet.admin.rows import Rows
from fleet.models import ClientAccess, Membership, User
from fleet.services.closing import stop_signing_in


class NewPerson(AdminUserCreationForm):
    class Meta:
        model = User
        fields = ("email", "name")


class KnownPerson(UserChangeForm):
    class Meta:
        model = User
        fields = "__all__"
        field_classes = {}


class MembershipRows(Rows):
    model = Membership
    autocomplete_fields = ("company",)
    other_end = ("company",)


class ClientAccessRows(Rows):
    model = ClientAccess
    autocomplete_fields = ("client",)
    other_end = ("client",)


class PeopleOfCompany(ByCompany):
    """Who works for a company or reads a client of it."""

    def of_company(self, rows: Any, company_id: int) -> QuerySet[Any]:
        works = Membership.objects.of_company(company_id).values("user")
        reads = ClientAccess.objects.of_company(company_id).values("user")
        kept: QuerySet[Any] = rows.filter(Q(pk__in=works) | Q(pk__in=reads))
        return kept


@admin.register(User)
class PersonAdmin(KeptAdmin, UserAdmin):
    """People stay: decisions and history name them. Whoever leaves is made inactive."""

    form = KnownPerson
    add_form = NewPerson
    list_display = ("email", "name", "is_active", "is_staff", "last_login")
    list_filter = (PeopleOfCompany, "is_active", "is_staff")
    search_fields = ("email", "name")
    ordering = ("email",)
    readonly_fields = ("last_login", "created_at")
    fieldsets = (
        (None, {"fields": ("email", "name", "password")}),
        ("May", {"fields": ("is_active", "is_staff", "is_superuser", "groups", "user_permissions")}),
        ("Dates", {"fields": ("last_login", "created_at")}),
    )
    add_fieldsets = ((None, {"fields": ("email", "name", "usable_password", "password1", "password2")}),)
    inlines = (MembershipRows, ClientAccessRows)
    actions = ("stop_signing_in",)

    @admin.action(description="Stop the chosen people signing in", permissions=("change",))
    def stop_signing_in(self, request: HttpRequest, queryset: QuerySet[User]) -> HttpResponse | None:
        def stop(people: list[User]) -> str:
            tokens = stop_signing_in(people=people, by=request.user)  # type: ignore[arg-type]
            return f"They can't sign in any more; {counted(tokens, 'token', 'tokens')} given up."

        return ask(self, request, queryset, asked=_stopping, do=stop)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


def _stopping(people: list[User]) -> Asked:
    tokens = get_token_model().objects.filter(user__in=people).count()
    return Asked(
        question="Stop these people signing in?",
        tells=(
            "They are made inactive: pages and back office turn them away from now on.",
            f"{counted(tokens, 'token of theirs stops', 'tokens of theirs stop')} working, for good.",
            "Roles, access and what they decided stay written down.",
        ),
        button="Stop them signing in",
    )
