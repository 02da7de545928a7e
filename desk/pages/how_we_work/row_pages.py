"""What the settings pages of rows have in common: listing them, adding one, changing one, deleting one."""

from typing import Any, ClassVar, Generic, TypeVar, cast

from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from common.errors import Refused
from desk import notices
from desk.access import AnyPage, StaffRequest
from desk.blanks import Blank, Sheet
from desk.how_we_work import REFUSED, around, keepers, save
from fleet.models import Company
from fleet.services.edits import add_row, drop_row
from fleet.tenancy import TenantModel

R = TypeVar("R", bound=TenantModel)
READ_OR_WRITE = require_http_methods(["GET", "HEAD", "POST"])


class RowPages(Generic[R]):
    """The pages of one kind of rows; a subclass says which, and what its pages show beside the forms.

    The templates are ``desk/settings_<many>.html`` and ``desk/settings_<one>.html``, the addresses
    ``desk:settings-<many>``, ``desk:settings-<one>`` and ``desk:settings-drop-<one>``.
    """

    model: type[R]
    topic: ClassVar[str]
    one: ClassVar[str]
    many: ClassVar[str]
    added: ClassVar[str]  # what to say of one that was added, after its name
    dropped: ClassVar[str] = ""  # and of one that was deleted

    def blanks(self, request: StaffRequest) -> list[Blank]:
        """Return the blanks of a row."""
        raise NotImplementedError

    def fresh(self, company: Company) -> R:
        """Return the row the form of a new one begins with."""
        return self.model(company=company)

    def all_shown(self, request: StaffRequest) -> dict[str, Any]:
        """Return what the list shows."""
        raise NotImplementedError

    def one_shown(self, request: StaffRequest, row: R, sheet: Sheet) -> dict[str, Any]:
        """Return what the page of one row shows beside its form."""
        return {}

    def query(self, request: StaffRequest) -> str:
        """Return what an address of these pages carries along, from its question mark on."""
        return ""

    def views(self) -> tuple[AnyPage[[]], AnyPage[[int]], AnyPage[[int]]]:
        """Return the page of the list, that of one row, and the one that deletes it."""
        return (
            keepers(READ_OR_WRITE(self.list_or_add)),
            keepers(READ_OR_WRITE(self.show_or_change)),
            keepers(require_POST(self.drop)),
        )

    def rows(self, request: StaffRequest) -> QuerySet[R]:
        """Return the rows of the company a person works for."""
        rows: Any = self.model.objects.visible_to(request.user).of_company(request.member.company_id)
        return cast("QuerySet[R]", rows)

    def row(self, request: StaffRequest, pk: int) -> R:
        """Return one of them."""
        return get_object_or_404(self.rows(request), pk=pk)

    def list_or_add(self, request: StaffRequest) -> HttpResponse:
        """List the rows, or add one."""
        company, blanks = request.member.company, self.blanks(request)
        if request.method != "POST":
            return self.list_page(request, Sheet(blanks, row=self.fresh(company)))
        sheet = Sheet(blanks, row=self.fresh(company), posted=request.POST)
        if sheet.read():
            try:
                new = self.model(company=company, **sheet.values)
                row = add_row(row=new, by=request.user, company_id=company.pk)
            except Refused as refused:
                sheet.refuse(refused)
            else:
                notices.say(request, f"{row} is there now. {self.added}")
                return redirect(f"desk:settings-{self.many}")
        return self.list_page(request, sheet, status=REFUSED)

    def show_or_change(self, request: StaffRequest, pk: int) -> HttpResponse:
        """Show one row, or change it."""
        row, blanks = self.row(request, pk), self.blanks(request)
        if request.method != "POST":
            return self.page(request, row, Sheet(blanks, row=row))
        sheet = Sheet(blanks, row=row, posted=request.POST)
        status = save(request, sheet, row, topic=self.topic) if sheet.read() else REFUSED
        if status == 200:
            return redirect(f"desk:settings-{self.one}", pk)
        return self.page(request, row, sheet, status=status)

    def drop(self, request: StaffRequest, pk: int) -> HttpResponse:
        """Delete a row nothing hangs on."""
        row = self.row(request, pk)
        try:
            drop_row(row=row, by=request.user, company_id=request.member.company_id)
        except Refused as refused:
            notices.warn(request, refused.message)
            return self.page(request, row, Sheet(self.blanks(request), row=row), status=REFUSED)
        notices.say(request, f"{row} was deleted. {self.dropped}".strip())
        return redirect(f"desk:settings-{self.many}")

    def list_page(self, request: StaffRequest, sheet: Sheet, *, status: int = 200) -> HttpResponse:
        """Return the list with the form of another one."""
        context = around(request, self.topic) | self.all_shown(request)
        context |= {"sheet": sheet, "action": reverse(f"desk:settings-{self.many}") + self.query(request)}
        return render(request, f"desk/settings_{self.many}.html", context, status=status)

    def page(
        self, request: StaffRequest, row: R, sheet: Sheet, *, status: int = 200, **more: Any
    ) -> HttpResponse:
        """Return the page of one row."""
        row.refresh_from_db()
        context = around(request, self.topic, row=row.pk) | self.one_shown(request, row, sheet) | more
        context |= {
            "sheet": sheet,
            "row": row,
            "action": reverse(f"desk:settings-{self.one}", args=[row.pk]) + self.query(request),
            "drop": reverse(f"desk:settings-drop-{self.one}", args=[row.pk]),
        }
        return render(request, f"desk/settings_{self.one}.html", context, status=status)
