"""The kinds of zones a company often meets: what a row of the survey begins with."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from desk import notices
from desk.access import StaffRequest
from desk.blanks import Blank
from desk.how_we_work import keepers
from desk.pages.how_we_work.row_pages import RowPages
from desk.sheets.kind import kind_blanks
from fleet.models import Company, SettingEdit, ZonePreset
from fleet.services.presets import begin_with_kinds


class KindPages(RowPages[ZonePreset]):
    """Kinds of zones; nothing hangs on one."""

    model = ZonePreset
    topic = SettingEdit.Topic.KIND
    one, many = "kind", "kinds"
    added = "It is offered wherever zones are set up."
    dropped = "Zones set up from it stay as they are."

    def blanks(self, request: StaffRequest) -> list[Blank]:
        return kind_blanks(request.member.company.units)

    def fresh(self, company: Company) -> ZonePreset:
        return ZonePreset(
            company=company, plant="cool_turf", head="spray", soil="loam", sun="full", slope_percent=1
        )

    def all_shown(self, request: StaffRequest) -> dict[str, Any]:
        return {"rows": self.rows(request)}


KINDS = KindPages()
kinds, kind, drop_kind = KINDS.views()


@keepers
@require_POST
def usual_kinds(request: StaffRequest) -> HttpResponse:
    """Put the usual kinds in where there are none."""
    added = begin_with_kinds(request.member.company)
    notices.say(
        request, f"{added} kinds were added." if added else "There are kinds already; none was added."
    )
    return redirect("desk:settings-kinds")
