"""The decision policy: what it would do is counted before a save, nobody is overwritten, one step back."""

import json
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from common.errors import Refused
from desk.blanks import Sheet
from desk.policy_values import shown
from desk.sheets.policy import policy_blanks
from fleet.models import Policy, SettingEdit
from fleet.services.client_policy import set_client_policy
from scheduling.models import Change
from scheduling.selectors.by_policy import Waiting
from tests.cast import Cast, a_change, a_program, a_skip

AT = "/settings/decisions/"
EFFECT = "/settings/decisions/effect/"
TYPED = {
    "auto_move_points": "0",
    "percent_min": "0",
    "percent_max": "500",
    "dead_band_points": "5",
    "uniformity_margin": "100",
    "visit_worth_l": "530",
    "freeze_skip_below_c": "36",
    "wind_skip_above_m_s": "13",
}


def text(answer: Any) -> str:
    words = " ".join(answer.content.decode().replace("\u00a0", " ").split())
    return words.replace("<b>", "").replace("</b>", "")


def opened(web: Client) -> dict[str, str]:
    """Return what the form carries when it is opened, as a browser would send it back."""
    sheet = web.get(AT).context["sheet"]
    fields = {one.blank.name: one.text for one in sheet if one.text}
    return {**fields, "was": sheet.was}


@pytest.fixture
def waiting(cast: Cast) -> Cast:
    """Three moves of 15, 4 and 30 points and a skip wait."""
    a_change(a_program(cast.controller, "B"), current=100, proposed=104)
    a_change(a_program(cast.controller, "C"), current=100, proposed=130)
    a_skip(a_program(cast.controller, "D"))
    return cast


def test_the_form_shows_what_holds_in_the_companys_units(owner: Client):
    assert opened(owner) | {"was": ""} == TYPED | {"was": ""}


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({}, "Of the 4 changes waiting, 0 would be approved"),
        ({"auto_move_points": "4"}, "Of the 4 changes waiting, 1 would be approved by itself"),
        ({"auto_move_points": "15", "auto_skips": "yes"}, "Of the 4 changes waiting, 3 would be approved"),
        ({"auto_skips": "yes"}, "1 of 1 waiting would be approved"),
        ({"percent_max": "120"}, "1 proposes more"),
        ({"percent_min": "90"}, "1 proposes less"),
        ({"dead_band_points": "20"}, "2 are smaller and would be left alone"),
    ],
)
@pytest.mark.parametrize("htmx", [True, False])
def test_the_effect_is_counted_on_what_waits_before_anything_is_saved(
    waiting: Cast, owner: Client, typed, said, htmx
):
    headers = {"HX-Request": "true"} if htmx else {}
    answer = owner.post(EFFECT, {**opened(owner), **typed}, headers=headers)
    assert answer.status_code == 200
    assert said in text(answer)
    assert ("<h1>" in text(answer)) != htmx
    assert not Policy.objects.exists()
    assert not SettingEdit.objects.exists()


def test_a_clients_own_policy_counts_for_its_changes(waiting: Cast, owner: Client):
    Policy.objects.create(company=waiting.company, client=waiting.client, auto_move_points=0)
    assert "4 changes waiting, 0 would" in text(
        owner.post(EFFECT, {**opened(owner), "auto_move_points": "40"})
    )


def test_another_companys_changes_are_not_counted(waiting: Cast, stranger, signed_in):
    assert "No change is waiting" in text(signed_in(stranger).get(AT))
    assert Waiting(stranger, waiting.company.pk).changes == []


def test_saving_decides_nothing_that_waits(waiting: Cast, owner: Client):
    owner.post(AT, {**opened(owner), "auto_move_points": "40", "auto_skips": "yes"})
    assert Policy.objects.get().auto_move_points == 40
    assert set(Change.objects.values_list("status", flat=True)) == {"pending"}


def test_only_what_was_typed_is_stored_and_kept_with_who_did_it(cast: Cast, owner: Client):
    answer = owner.post(AT, {**opened(owner), "auto_move_points": "8", "freeze_skip_below_c": "41"})
    assert answer.status_code == 302
    row = Policy.objects.get()
    assert (row.auto_move_points, row.freeze_skip_below_c, row.visit_worth_l) == (8, 5.0, None)
    edit = SettingEdit.objects.get()
    assert (edit.by, edit.before, edit.after) == (
        cast.owner,
        {"auto_move_points": None, "freeze_skip_below_c": None},
        {"auto_move_points": 8, "freeze_skip_below_c": 5.0},
    )
    page = text(owner.get(AT))
    assert "up to: 0 points → 8 points" in page
    assert "36 °F → 41 °F" in page


def test_a_stored_value_is_not_rounded_by_a_save_that_leaves_it_alone(cast: Cast, owner: Client):
    Policy.objects.create(company=cast.company, visit_worth_l=3000.0)
    owner.post(AT, {**opened(owner), "auto_move_points": "8"})
    assert Policy.objects.get().visit_worth_l == 3000.0


def test_sent_twice_is_saved_once(owner: Client, cast: Cast):
    form = {**opened(owner), "auto_move_points": "8"}
    assert [owner.post(AT, form).status_code for _ in range(2)] == [302, 302]
    assert SettingEdit.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("auto_move_points", "5 points"),
        ("auto_move_points", "-3"),
        ("auto_move_points", "501"),
        ("auto_move_points", "٣"),
        ("percent_max", "1" * 10_000),
        ("percent_min", "2\0"),
        ("dead_band_points", "🌱"),
        ("visit_worth_l", "1,000"),
        ("visit_worth_l", "500 gal"),
        ("visit_worth_l", "nan"),
        ("uniformity_margin", "120"),
        ("freeze_skip_below_c", "مرحبا"),
        ("wind_skip_above_m_s", "1e3"),
    ],
)
@pytest.mark.parametrize("address", [AT, EFFECT])
def test_what_cannot_be_taken_is_said_by_its_field_and_the_rest_is_kept(
    owner: Client, cast: Cast, field, typed, address
):
    answer = owner.post(address, {**opened(owner), "auto_skips": "yes", field: typed})
    assert answer.status_code == 422
    one = {o.blank.name: o for o in answer.context["sheet"]}
    assert one[field].error
    assert one[field].text == typed.replace("\0", "")
    assert one["auto_skips"].text == "yes"
    assert [name for name, o in one.items() if o.error] == [field]
    assert not SettingEdit.objects.exists()


def test_the_bounds_must_be_in_order(owner: Client, cast: Cast):
    answer = owner.post(AT, {**opened(owner), "percent_min": "90", "percent_max": "80"})
    assert answer.status_code == 422
    assert "The greatest percent can" in text(answer)
    assert not SettingEdit.objects.exists()


class TestTwoAtOnce:
    @pytest.fixture
    def late(self, cast: Cast, owner: Client, signed_in) -> dict[str, str]:
        """The owner opened the form; meanwhile the office saved 8 points and at most 150 percent."""
        form = opened(owner)
        office = signed_in(cast.office)
        office.post(AT, {**opened(office), "auto_move_points": "8", "percent_max": "150"})
        return form

    def test_nothing_is_overwritten_and_both_values_are_offered(self, cast: Cast, owner: Client, late):
        answer = owner.post(AT, {**late, "auto_move_points": "3"})
        assert answer.status_code == 409
        assert "Office of Larkspur Irrigation saved 8 here meanwhile" in text(answer)
        assert "Office of Larkspur Irrigation saved 150 here meanwhile" in text(answer)
        one = {o.blank.name: o for o in answer.context["sheet"]}
        assert (one["auto_move_points"].text, one["percent_max"].text) == ("3", "150")
        assert Policy.objects.get().auto_move_points == 8

    def test_mine_can_be_saved_knowingly(self, owner: Client, late):
        sheet = owner.post(AT, {**late, "auto_move_points": "3"}).context["sheet"]
        again = {o.blank.name: o.text for o in sheet if o.text} | {"was": sheet.was}
        assert owner.post(AT, again).status_code == 302
        row = Policy.objects.get()
        assert (row.auto_move_points, row.percent_max) == (3, 150)

    def test_theirs_can_be_kept(self, owner: Client, late):
        sheet = owner.post(AT, {**late, "auto_move_points": "3"}).context["sheet"]
        again = {o.blank.name: o.text for o in sheet if o.text} | {"was": sheet.was}
        owner.post(AT, {**again, "theirs-auto_move_points": "yes"})
        assert Policy.objects.get().auto_move_points == 8

    def test_who_typed_the_same_is_not_bothered(self, owner: Client, late):
        answer = owner.post(AT, {**late, "auto_move_points": "8", "percent_max": "150"})
        assert answer.status_code == 302

    @pytest.mark.parametrize("was", ["", "{", "[]", '{"percent_max": 3}', "[" * 5000])
    def test_a_form_that_forgot_what_it_showed_overwrites_nothing(self, owner: Client, late, was):
        assert owner.post(AT, {**late, "auto_move_points": "3", "was": was}).status_code == 409
        assert Policy.objects.get().auto_move_points == 8


class TestTakingBack:
    def test_the_last_save_can_be_taken_back_once(self, cast: Cast, owner: Client):
        owner.post(AT, {**opened(owner), "auto_move_points": "8"})
        edit = SettingEdit.objects.get()
        at = f"/settings/edits/{edit.pk}/take-back/"
        assert "Take the last save back" in text(owner.get(AT))
        assert owner.post(at)["Location"] == AT
        assert Policy.objects.get().auto_move_points is None
        page = text(owner.get(AT))
        assert "Taken back." in page
        assert "Take the last save back" not in page
        owner.post(at)
        assert SettingEdit.objects.count() == 2

    def test_not_once_something_was_saved_after_it(self, cast: Cast, owner: Client):
        for points in ("8", "9"):
            owner.post(AT, {**opened(owner), "auto_move_points": points})
        oldest = SettingEdit.objects.order_by("pk")[0]
        answer = owner.post(f"/settings/edits/{oldest.pk}/take-back/", follow=True)
        assert "Something was saved after that" in text(answer)
        assert Policy.objects.get().auto_move_points == 9

    def test_not_once_the_back_office_changed_it(self, cast: Cast, owner: Client):
        owner.post(AT, {**opened(owner), "auto_move_points": "8"})
        Policy.objects.update(auto_move_points=12)
        owner.post(f"/settings/edits/{SettingEdit.objects.get().pk}/take-back/")
        assert Policy.objects.get().auto_move_points == 12


@pytest.mark.parametrize("address", ["/settings/", AT, "/settings/company/"])
def test_who_does_not_decide_is_told_who_does(cast: Cast, technician: Client, signed_in, address):
    answer = technician.get(address)
    assert answer.status_code == 403
    assert "owner@larkspur.test" in text(answer)
    answer = signed_in(cast.client_person).get(address)
    assert answer.status_code == 403
    assert "owner@larkspur.test" not in text(answer)
    assert "How we work" not in text(technician.get("/"))


def test_a_technician_saves_nothing(cast: Cast, technician: Client):
    for address in (AT, EFFECT, "/settings/company/"):
        assert technician.post(address, {"auto_move_points": "50", "name": "Mine"}).status_code == 403
    assert not Policy.objects.exists()


def test_many_changes_cost_as_many_queries_as_few(cast: Cast, owner: Client):
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert owner.get(AT).status_code == 200
        return len(seen)

    owner.post(AT, {**opened(owner), "auto_move_points": "8"})
    few = queries()
    for n, letter in enumerate("BCDEFGHIJ"):
        a_change(a_program(cast.controller, letter), proposed=50 + n)
        owner.post(AT, {**opened(owner), "auto_move_points": str(20 + n)})
    assert queries() == few


def test_every_field_of_the_policy_has_a_blank_with_its_effect():
    blanks = {blank.name: blank for blank in policy_blanks("us")}
    named = {f.name for f in Policy._meta.concrete_fields} - {"id", "company", "client"}
    assert set(blanks) == named
    assert all(blank.effect.endswith(".") for blank in blanks.values())


def test_a_form_carries_what_it_shows():
    sheet = Sheet(policy_blanks("metric"), row=Policy(wind_skip_above_m_s=5.5))
    assert json.loads(sheet.was)["wind_skip_above_m_s"] == "5.5"


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("stored", [{}, {"visit_worth_l": 3000.0, "wind_skip_above_m_s": 6.0}])
def test_a_save_that_touches_nothing_is_no_edit(cast: Cast, owner: Client, units, stored):
    type(cast.company).objects.filter(pk=cast.company.pk).update(units=units)
    if stored:
        Policy.objects.create(company=cast.company, **stored)
    assert owner.post(AT, opened(owner)).status_code == 302
    assert not SettingEdit.objects.exists()
    assert {name: getattr(Policy.objects.get(), name) for name in stored} == stored


@pytest.mark.parametrize(
    ("name", "value", "us", "metric"),
    [
        ("visit_worth_l", 3000.0, "790", "3000"),  # 792.5 gal
        ("visit_worth_l", 1987.341187, "525", "2000"),  # typed as 525 gal of 3.785412 L
        ("freeze_skip_below_c", 2.0, "36", "2"),  # 35.6 degF
        ("wind_skip_above_m_s", 6.0, "13", "6"),  # 13.42 mph
        ("wind_skip_above_m_s", 5.49859, "12.3", "5.5"),  # 12.3 mph of 0.44704 m/s
        ("uniformity_margin", 0.85, "85", "85"),
    ],
)
def test_figures_are_round_in_either_system_and_stand_as_they_were_typed(name, value, us, metric):
    assert (shown(name, value, "us"), shown(name, value, "metric")) == (us, metric)


def test_both_forms_have_the_same_words_units_and_bounds(cast: Cast, owner: Client):
    ours = {one.blank.name: one.blank for one in owner.get(AT).context["sheet"]}
    theirs = {f.line.name: f for f in owner.get(f"/clients/{cast.client.pk}/policy/").context["fields"]}
    assert set(ours) == set(theirs)
    for name, blank in ours.items():
        field = theirs[name]
        assert (blank.label, blank.effect, blank.unit) == (field.line.label, field.effect, field.unit)
    for name, text in [("freeze_skip_below_c", "-23"), ("wind_skip_above_m_s", "90"), ("percent_min", "501")]:
        said = owner.post(AT, {**opened(owner), name: text}).context["sheet"].errors[name]
        answer = owner.post(f"/clients/{cast.client.pk}/policy/", {"seen": "|" * 8, name: text})
        assert {f.error for f in answer.context["fields"] if f.error} == {said}


def test_the_back_office_and_the_service_keep_the_bounds_too(cast: Cast):
    with pytest.raises(ValidationError, match="-30 to 15"):
        Policy(company=cast.company, freeze_skip_below_c=-31.0).full_clean()
    with pytest.raises(Refused):
        set_client_policy(client=cast.client, by=cast.owner, values={"wind_skip_above_m_s": 41.0}, seen="")
