"""Taking the last save of a settings page back."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from common.errors import BluestemError
from desk import notices
from desk.access import StaffRequest
from desk.how_we_work import keepers
from fleet.models import SettingEdit
from fleet.services.edits import EDITED, take_back
from scheduling.services.stages import take_back_switch

Topic = SettingEdit.Topic
ROW_PAGES = {
    Topic.PRICE: "desk:settings-price",
    Topic.RULE: "desk:settings-rule",
    Topic.TOWN: "desk:settings-town",
    Topic.KIND: "desk:settings-kind",
}


@keepers
@require_POST
def take_back_edit(request: StaffRequest, pk: int) -> HttpResponse:
    """Put back what an edit replaced, if it is still the newest."""
    edits = SettingEdit.objects.visible_to(request.user).of_company(request.member.company_id)
    edit = get_object_or_404(edits.filter(topic__in=EDITED, what="changed"), pk=pk)
    try:
        (take_back_switch if edit.topic == Topic.TOWN else take_back)(edit=edit, by=request.user)
    except BluestemError as error:
        notices.warn(request, error.message)
    else:
        notices.say(request, "The last save was taken back.")
    return redirect(_page_of(edit))


def _page_of(edit: SettingEdit) -> str:
    if edit.topic in ROW_PAGES:
        return reverse(ROW_PAGES[Topic(edit.topic)], args=[edit.row])
    return reverse("desk:settings-policy" if edit.topic == Topic.POLICY else "desk:settings-company")
