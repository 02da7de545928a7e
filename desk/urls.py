"""The addresses of every page people see."""

from django.urls import path

import desk.months  # noqa: F401  teaches addresses what a month is
from desk.deciding import ACTIONS
from desk.pages.accuracy import accuracy
from desk.pages.advice import advice, advice_dismiss, advice_file, advice_propose, advice_take_up
from desk.pages.cans import cans, cans_live, cans_put_back, cans_use
from desk.pages.card import card, card_paper
from desk.pages.client import client
from desk.pages.client_access import ACCESS_STEPS, client_access, client_reader_add, client_reader_remove
from desk.pages.client_changes import client_changes
from desk.pages.client_days import client_month, client_range
from desk.pages.client_policy import client_policy
from desk.pages.clients import clients
from desk.pages.clients_file import clients_file
from desk.pages.clients_water import clients_water
from desk.pages.clients_water_file import clients_water_file
from desk.pages.company import choose_company
from desk.pages.decide import decide_many, decide_one
from desk.pages.episodes import episode, episode_end, episodes
from desk.pages.field import enter, field
from desk.pages.field_back import undo_entry
from desk.pages.field_site import rain, visited
from desk.pages.field_zone import broken, mended, note_zone
from desk.pages.findings import finding, finding_photos
from desk.pages.history import history, history_file
from desk.pages.how_we_work.company import company
from desk.pages.how_we_work.front import front
from desk.pages.how_we_work.kinds import drop_kind, kind, kinds, usual_kinds
from desk.pages.how_we_work.people import call_off, people, person_role
from desk.pages.how_we_work.policy import policy, policy_effect
from desk.pages.how_we_work.prices import drop_price, price, price_example, prices
from desk.pages.how_we_work.rules import drop_rule, rule, rule_effect, rules
from desk.pages.how_we_work.take_back import take_back_edit
from desk.pages.how_we_work.towns import adopt_all, adopt_one, drop_town, plans, stage, town, towns
from desk.pages.letters import letter, letter_decide, letter_file, letters, pack
from desk.pages.measured.meter import meter_measured
from desk.pages.measured.non_routine import not_routine, not_routine_change, not_routine_remove
from desk.pages.measured.site import site_measured
from desk.pages.measured.use import alert_again, alert_dismiss, site_water_use
from desk.pages.meter import meter, meter_live
from desk.pages.meter_rows import (
    meter_bill,
    meter_bill_drop,
    meter_bills,
    meter_reading,
    meter_reading_drop,
)
from desk.pages.meter_table import meter_table
from desk.pages.meters import meter_drop, meter_edit, meters
from desk.pages.morning import home
from desk.pages.nights import night, nights
from desk.pages.notes import note, note_answer, note_skip, note_take_back, notes
from desk.pages.own_notes import note_withdraw, site_notes
from desk.pages.photos import photo, photo_file, photo_remove
from desk.pages.plan import plan, plan_adopt
from desk.pages.round_zone import round_finding, round_zone
from desk.pages.rounds import begin, round_done, round_page
from desk.pages.search import find
from desk.pages.season_again import season_again
from desk.pages.set_up.drafts import discard, drafts
from desk.pages.set_up.step import set_up_step
from desk.pages.set_up.survey import set_up_zone
from desk.pages.set_up.table import set_up_table, template_file
from desk.pages.sign_in import sign_in, sign_out
from desk.pages.site import site
from desk.pages.site_correction import site_correction, site_corrections
from desk.pages.site_rule import site_rule
from desk.pages.sites import sites
from desk.pages.summaries import summaries, summaries_make, summaries_month, summaries_send
from desk.pages.summary import (
    CHOICES,
    client_summaries,
    summary,
    summary_letter,
    summary_paper,
    summary_step,
)
from desk.pages.summary import STEPS as SUMMARY_STEPS
from desk.pages.week import week
from desk.pages.welcome import welcome
from desk.pages.why import why
from desk.set_up.steps import STEPS
from fleet.photo_files import SIZES

KINDS = ("csv", "xlsx")
LETTER_STEPS = ("again", "arrived", "stop")
app_name = "desk"
urlpatterns = [
    path("", home, name="morning"),
    path("sign-in/", sign_in, name="sign-in"),
    path("sign-out/", sign_out, name="sign-out"),
    path("company/", choose_company, name="company"),
    path("week/", week, name="week"),
    path("changes/<int:pk>/", why, name="why"),
    path("clients/", clients, name="clients"),
    *(path(f"clients/list.{kind}", clients_file, {"kind": kind}, name=f"clients-{kind}") for kind in KINDS),
    path("clients/water/", clients_water, name="clients-water"),
    *(
        path(f"clients/water/list.{kind}", clients_water_file, {"kind": kind}, name=f"clients-water-{kind}")
        for kind in KINDS
    ),
    path("clients/<int:pk>/", client, name="client"),
    path("clients/<int:pk>/savings/", client_range, name="client-range"),
    path("clients/<int:pk>/savings/<month:month>/", client_month, name="client-month"),
    path("clients/<int:pk>/changes/", client_changes, name="client-changes"),
    path("clients/<int:pk>/policy/", client_policy, name="client-policy"),
    path("clients/<int:pk>/people/", client_reader_add, name="client-reader-add"),
    path("clients/<int:pk>/people/<int:access_pk>/", client_reader_remove, name="client-reader-remove"),
    *(
        path(f"clients/<int:pk>/access/{step}/", client_access, {"step": step}, name=f"client-access-{step}")
        for step in ACCESS_STEPS
    ),
    path("field/", field, name="field"),
    path("field/changes/<int:pk>/", enter, name="field-enter"),
    path("field/zones/<int:pk>/", note_zone, name="field-zone"),
    path("field/zones/<int:pk>/broken/", broken, name="field-broken"),
    path("field/findings/<int:pk>/mended/", mended, name="field-mended"),
    path("field/sites/<int:pk>/rain/", rain, name="field-rain"),
    path("field/visits/<int:pk>/done/", visited, name="field-visit"),
    path("field/entries/<int:pk>/undo/", undo_entry, name="field-undo"),
    path("set-up/", drafts, name="set-up"),
    path("set-up/<int:pk>/discard/", discard, name="set-up-discard"),
    path("set-up/<int:pk>/table/", set_up_table, name="set-up-table"),
    path("set-up/<int:pk>/zones.xlsx", template_file, name="set-up-template"),
    path("set-up/<int:pk>/zone/", set_up_zone, name="set-up-zone"),
    *(
        path(f"set-up/<int:pk>/{step.key}/", set_up_step, {"step": step.key}, name=f"set-up-{step.key}")
        for step in STEPS
    ),
    path("zones/<int:pk>/cans/", cans, name="cans"),
    path("zones/<int:pk>/cans/live/", cans_live, name="cans-live"),
    path("cans/<int:pk>/use/", cans_use, name="cans-use"),
    path("cans/<int:pk>/put-back/", cans_put_back, name="cans-put-back"),
    path("sites/<int:pk>/rounds/", begin, name="round-begin"),
    path("rounds/<int:pk>/", round_page, name="round"),
    path("rounds/<int:pk>/done/", round_done, name="round-done"),
    path("rounds/<int:pk>/zones/<int:zone_pk>/", round_zone, name="round-zone"),
    path("rounds/<int:pk>/zones/<int:zone_pk>/finding/", round_finding, name="round-finding"),
    path("findings/<int:pk>/", finding, name="finding"),
    path("findings/<int:pk>/photos/", finding_photos, name="finding-photos"),
    path("photos/<int:pk>/", photo, name="photo"),
    *(path(f"photos/<int:pk>/{s}.jpg", photo_file, {"size": s}, name=f"photo-{s}") for s in SIZES),
    path("photos/<int:pk>/remove/", photo_remove, name="photo-remove"),
    path("zones/<int:pk>/episodes/", episodes, name="episodes"),
    path("episodes/<int:pk>/", episode, name="episode"),
    path("episodes/<int:pk>/end/", episode_end, name="episode-end"),
    path("controllers/<int:pk>/plan/", plan, name="plan"),
    path("controllers/<int:pk>/plan/adopt/", plan_adopt, name="plan-adopt"),
    path("search/", find, name="search"),
    path("sites/", sites, name="sites"),
    path("sites/<int:pk>/", site, name="site"),
    path("sites/<int:pk>/notes/", site_notes, name="site-notes"),
    path("notes/", notes, name="notes"),
    path("notes/<int:pk>/", note, name="note"),
    path("notes/<int:pk>/answer/", note_answer, name="note-answer"),
    path("notes/<int:pk>/skip/", note_skip, name="note-skip"),
    path("notes/<int:pk>/take-back/", note_take_back, name="note-take-back"),
    path("notes/<int:pk>/withdraw/", note_withdraw, name="note-withdraw"),
    path("sites/<int:pk>/rule/", site_rule, name="site-rule"),
    path("sites/<int:pk>/corrections/", site_corrections, name="site-corrections"),
    path("corrections/<int:pk>/", site_correction, name="site-correction"),
    path("sites/<int:pk>/measured/", site_measured, name="site-measured"),
    path("sites/<int:pk>/use/", site_water_use, name="site-use"),
    path("use/<int:pk>/put-aside/", alert_dismiss, name="use-alert-dismiss"),
    path("use/<int:pk>/show-again/", alert_again, name="use-alert-again"),
    path("meters/<int:pk>/measured/", meter_measured, name="meter-measured"),
    path("meters/<int:pk>/not-routine/", not_routine, name="not-routine"),
    path("not-routine/<int:pk>/", not_routine_change, name="not-routine-change"),
    path("not-routine/<int:pk>/remove/", not_routine_remove, name="not-routine-remove"),
    path("sites/<int:pk>/season/", season_again, name="season-again"),
    path("sites/<int:pk>/meters/", meters, name="meters"),
    path("meters/<int:pk>/", meter, name="meter"),
    path("meters/<int:pk>/live/", meter_live, name="meter-live"),
    path("meters/<int:pk>/edit/", meter_edit, name="meter-edit"),
    path("meters/<int:pk>/remove/", meter_drop, name="meter-drop"),
    path("meters/<int:pk>/bills/", meter_bills, name="meter-bills"),
    path("meters/<int:pk>/table/", meter_table, name="meter-table"),
    path("meter-readings/<int:pk>/", meter_reading, name="meter-reading"),
    path("meter-readings/<int:pk>/remove/", meter_reading_drop, name="meter-reading-drop"),
    path("meter-bills/<int:pk>/", meter_bill, name="meter-bill"),
    path("meter-bills/<int:pk>/remove/", meter_bill_drop, name="meter-bill-drop"),
    path("settings/", front, name="settings"),
    path("settings/decisions/", policy, name="settings-policy"),
    path("settings/decisions/effect/", policy_effect, name="settings-policy-effect"),
    path("settings/company/", company, name="settings-company"),
    path("settings/people/", people, name="settings-people"),
    path("settings/people/<int:pk>/", person_role, name="settings-person"),
    path("settings/people/links/<int:pk>/call-off/", call_off, name="settings-call-off"),
    path("settings/prices/", prices, name="settings-prices"),
    path("settings/prices/<int:pk>/", price, name="settings-price"),
    path("settings/prices/<int:pk>/example/", price_example, name="settings-price-example"),
    path("settings/prices/<int:pk>/delete/", drop_price, name="settings-drop-price"),
    path("settings/kinds/", kinds, name="settings-kinds"),
    path("settings/kinds/usual/", usual_kinds, name="settings-usual-kinds"),
    path("settings/kinds/<int:pk>/", kind, name="settings-kind"),
    path("settings/kinds/<int:pk>/delete/", drop_kind, name="settings-drop-kind"),
    path("settings/rules/", rules, name="settings-rules"),
    path("settings/rules/<int:pk>/", rule, name="settings-rule"),
    path("settings/rules/<int:pk>/effect/", rule_effect, name="settings-rule-effect"),
    path("settings/rules/<int:pk>/delete/", drop_rule, name="settings-drop-rule"),
    path("settings/towns/", towns, name="settings-towns"),
    path("settings/towns/<int:pk>/", town, name="settings-town"),
    path("settings/towns/<int:pk>/stage/", stage, name="settings-town-stage"),
    path("settings/towns/<int:pk>/plans/", plans, name="settings-town-plans"),
    path("settings/towns/<int:pk>/plans/all/", adopt_all, name="settings-town-adopt-all"),
    path("settings/towns/<int:pk>/plans/<int:controller_pk>/", adopt_one, name="settings-town-adopt"),
    path("settings/towns/<int:pk>/delete/", drop_town, name="settings-drop-town"),
    path("welcome/<str:token>/", welcome, name="welcome"),
    path("settings/edits/<int:pk>/take-back/", take_back_edit, name="settings-take-back"),
    path("sites/<int:pk>/history/", history, name="history"),
    path("sites/<int:pk>/history.csv", history_file, name="history-file"),
    path("controllers/<int:pk>/card/", card, name="card"),
    *(
        path(f"controllers/<int:pk>/card/{sheet}.pdf", card_paper, {"sheet": sheet}, name=f"{sheet}-paper")
        for sheet in ("card", "months")
    ),
    path("accuracy/", accuracy, name="accuracy"),
    path("summaries/", summaries, name="summaries"),
    path("summaries/<month:month>/", summaries_month, name="summaries-month"),
    path("summaries/<month:month>/make/", summaries_make, name="summaries-make"),
    path("summaries/<month:month>/send/", summaries_send, name="summaries-send"),
    path("summaries/<int:pk>/", summary, name="summary"),
    path("summaries/<int:pk>/summary.pdf", summary_paper, name="summary-paper"),
    path("summaries/<int:pk>/letter/", summary_letter, name="summary-letter"),
    *(
        path(f"summaries/<int:pk>/{step}/", summary_step, {"step": step}, name=f"summary-{step}")
        for step in SUMMARY_STEPS
    ),
    *(
        path(
            f"clients/<int:pk>/summaries/{what}/",
            client_summaries,
            {"what": what},
            name=f"client-summaries-{what}",
        )
        for what in CHOICES
    ),
    path("letters/", letters, name="letters"),
    path("letters/<int:pk>/", letter, name="letter"),
    path("letters/<int:pk>/files/<int:file_pk>/", letter_file, name="letter-file"),
    *(
        path(f"letters/<int:pk>/{what}/", letter_decide, {"what": what}, name=f"letter-{what}")
        for what in LETTER_STEPS
    ),
    path("clients/<int:pk>/pack.pdf", pack, name="client-pack"),
    path("advice/", advice, name="advice"),
    path("advice/list.csv", advice_file, name="advice-file"),
    path("advice/<int:pk>/put-aside/", advice_dismiss, name="advice-dismiss"),
    path("advice/<int:pk>/propose/", advice_propose, name="advice-propose"),
    path("advice/<int:pk>/show-again/", advice_take_up, name="advice-take-up"),
    path("nights/", nights, name="nights"),
    path("nights/<int:pk>/", night, name="night"),
    *(path(f"changes/<int:pk>/{do}/", decide_one, {"action": do}, name=do) for do in ACTIONS),
    *(path(f"week/{do}/", decide_many, {"action": do}, name=f"{do}-many") for do in ACTIONS),
]
