"""What the demo holds: enough of everything, sound by itself, and nobody's but its own."""

from collections import Counter

import pytest
from django.apps import apps

from fleet.history import Earlier
from fleet.models import (
    Client,
    Controller,
    Finding,
    Membership,
    Photo,
    Policy,
    Site,
    User,
    WateringRule,
    Zone,
    ZoneEpisode,
)
from fleet.photo_files import FULL, read_file
from fleet.selectors.site_rule import rule_of, with_rules
from scheduling.delivery import CHANNELS
from scheduling.demo.dates import demo_calendar
from scheduling.models import Program, Setting, ZoneRun
from weather.models import ForecastDay, MonthlyNormal, ObservedDay, WeatherCell

RATE_TOLERANCE = 0.12  # a chart's rate and the flow read at the meter never agree to the last litre

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.usefixtures("demo"),
    pytest.mark.sqlite,  # what is loaded; that it loads on PostgreSQL too is test_loading's
]


def test_there_are_as_many_of_everything_as_a_contractor_of_this_size_has():
    assert Client.objects.count() == 24
    assert Site.objects.count() == 36
    assert Controller.objects.count() == 50
    assert Zone.objects.count() == 320
    assert Program.objects.count() == 112
    assert set(Zone.objects.values_list("pk", flat=True)) == set(
        ZoneRun.objects.values_list("zone", flat=True)
    )


def test_every_row_is_one_that_a_form_would_take():
    for app in ("fleet", "scheduling", "weather"):
        for model in apps.get_app_config(app).get_models():
            if issubclass(model, Earlier):
                continue  # what a row was is written by the service alone
            for row in model._default_manager.all():
                row.full_clean(
                    validate_unique=False, validate_constraints=False
                )  # the database sees to those


def test_the_people_sign_in_with_the_roles_their_addresses_say():
    roles = dict(Membership.objects.values_list("user__email", "role"))

    assert roles == {
        "owner@bluestem.example": "owner",
        "office@bluestem.example": "office",
        "tech@bluestem.example": "technician",
    }
    assert all(user.check_password("bluestem-demo") for user in User.objects.all())


def test_the_client_sees_an_open_client_and_the_new_client_nothing_yet():
    client = User.objects.get(email="client@bluestem.example")
    new = User.objects.get(email="newclient@bluestem.example")

    assert [row.name for row in Client.objects.visible_to(client)] == ["Cottonbrook Village Association"]
    assert not Client.objects.visible_to(new).exists()


def test_names_are_used_once():
    for names in (
        Client.objects.values_list("name"),
        Site.objects.values_list("name"),
        Site.objects.values_list("address"),
        Controller.objects.values_list("site", "name"),
        Controller.objects.values_list("serial_number"),
        Zone.objects.values_list("controller", "name"),
    ):
        assert [name for name, times in Counter(names).items() if times > 1] == []


def test_a_zone_s_rate_agrees_with_its_flow_and_area():
    known = Zone.objects.exclude(area_m2=None).exclude(flow_l_min=None)
    ratios = {  # by key: names repeat from one controller to the next
        zone.pk: 60 * flow / area / rate
        for zone in known
        if (flow := zone.flow_l_min) and (area := zone.area_m2) and (rate := zone.precipitation_rate_mm_h)
    }

    assert known.count() > 250
    assert {pk: ratio for pk, ratio in ratios.items() if abs(ratio - 1) > RATE_TOLERANCE} == {}


def test_every_basis_of_knowledge_occurs_and_cans_are_the_exception():
    rates = Counter(zone.basis["precipitation_rate_mm_h"] for zone in Zone.objects.all())

    assert 0 < rates["measured"] < rates["assumed"] < rates["table"]


def test_no_zone_asks_its_source_for_more_than_it_gives():
    for site in Site.objects.all():
        at_once = sum(
            max((zone.flow_l_min or 0.0) for zone in controller.zones.all())
            for controller in site.controllers.all()
        )
        assert at_once <= (site.water_sources.get().flow_l_min or 0.0), site.name


def test_controllers_differ_in_what_they_can_hold_and_hold_what_they_are_given():
    assert set(Controller.objects.values_list("percent_step", flat=True)) == {1, 5, 10}
    assert Controller.objects.values_list("percent_max", flat=True).distinct().count() > 1
    assert Controller.objects.filter(percent_scope="controller").count() == 5
    assert set(Controller.objects.values_list("delivery", flat=True)) <= set(CHANNELS)
    assert Controller.objects.filter(delivery="on_site").count() == 8
    for controller in Controller.objects.all():
        programs = list(controller.programs.all())
        assert controller.zones.count() <= controller.zone_capacity
        assert len(programs) <= controller.program_capacity
        assert all(len(program.starts) <= controller.starts_per_program for program in programs)


def test_every_percent_is_one_its_controller_can_hold():
    for setting in Setting.objects.select_related("program__controller"):
        controller = setting.program.controller
        assert setting.percent % controller.percent_step == 0, setting
        assert setting.percent <= controller.percent_max, setting


def test_one_percent_serves_the_whole_controller_where_it_has_but_one():
    for controller in Controller.objects.filter(percent_scope="controller"):
        in_force = {
            tuple(program.settings.values_list("effective_from", "percent"))
            for program in controller.programs.all()
        }
        assert len(in_force) == 1


def test_settings_were_found_between_90_and_130_percent_and_most_were_moved_since():
    found = Setting.objects.filter(how="found")

    assert found.count() == Program.objects.count()
    assert {s.percent for s in found} <= set(range(90, 131))
    moved = Setting.objects.exclude(how="found").values("program").distinct().count()
    assert 60 <= moved <= 100


def test_programs_keep_to_their_town_s_days_and_hours():
    night = demo_calendar().on
    for program in with_rules(Program.objects.all(), site="controller__site"):
        rule = rule_of(program.controller.site, night)
        if rule is None or rule.hours_from is None or rule.hours_to is None:
            continue
        if rule.parity != WateringRule.Parity.ANY:
            assert program.days == rule.parity, program
        if rule.weekdays:
            assert set(program.days.split()) <= set(rule.weekdays.split()), program
        for start in program.start_times():
            assert start >= rule.hours_from or start < rule.hours_to, program


def test_controllers_nobody_reaches_have_a_visit_ahead():
    today = demo_calendar().on
    for controller in Controller.objects.filter(delivery="on_site"):
        assert controller.site.visits.filter(date__gte=today, done_at=None, kind="route").exists(), (
            controller.site
        )


def test_policy_is_the_company_s_with_clients_who_want_to_decide_more():
    company = Policy.objects.get(client=None)

    assert (company.auto_skips, company.auto_move_points) == (False, 5)
    assert set(Policy.objects.exclude(client=None).values_list("auto_move_points", flat=True)) == {0}


def test_zones_on_their_own_for_a_while_and_findings_of_both_kinds_are_there():
    assert set(ZoneEpisode.objects.values_list("kind", flat=True)) == {"grow-in", "hand-watered", "off"}
    assert set(Finding.objects.values_list("status", flat=True)) == {"open", "mended"}


def test_the_valley_has_several_cells_and_one_square_split_by_height():
    places = Counter(WeatherCell.objects.values_list("latitude", "longitude"))

    assert WeatherCell.objects.count() == 6
    assert sorted(places.values()) == [1, 1, 1, 1, 2]


def test_all_weather_says_that_it_is_invented():
    assert set(ObservedDay.objects.values_list("source", "quality")) == {("invented", "invented")}
    assert set(ForecastDay.objects.values_list("source", "quality")) == {("invented", "invented")}


def test_weather_reaches_back_over_two_years_and_every_month_has_a_normal():
    for cell in WeatherCell.objects.all():
        days = cell.observed_days.order_by("date").values_list("date", flat=True)
        assert str(days[0]) <= "2024-10-01" and str(days[len(days) - 1]) == "2026-07-13"
        assert MonthlyNormal.objects.filter(cell=cell).count() == 12
        assert cell.forecast_days.values("issued_at").distinct().count() == 30
        assert not cell.forecast_days.filter(issued_at__gt="2026-07-14T00:00-07:00").exists()


def test_its_photos_are_drawings_that_say_so():
    photos = list(Photo.objects.select_related("finding"))
    assert len(photos) == 3
    for photo in photos:
        assert photo.note.startswith("Invented drawing, not a photo. ")
        assert photo.finding.status == "open"
        assert read_file(photo.key, FULL).startswith(b"\xff\xd8")
