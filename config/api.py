"""Every address under ``/api/v1/``."""

from django.urls import path
from drf_spectacular.views import SpectacularAPIView
from drf_spectacular.views import SpectacularSwaggerSplitView as DOCS
from rest_framework.routers import SimpleRouter

import config.schema  # noqa: F401  tells the document how requests are signed
from fleet.api.can_audits import CanAudits
from fleet.api.client_access import ClientAccessOpening
from fleet.api.clients import Clients
from fleet.api.controllers import Controllers
from fleet.api.episodes import Episodes
from fleet.api.meter_bills import MeterBills
from fleet.api.meter_readings import MeterReadings
from fleet.api.meter_rows import MeterHoursInBulk, MeterReadingsInBulk
from fleet.api.meters import Meters
from fleet.api.observations import Observations
from fleet.api.photos import Photos
from fleet.api.places import Places
from fleet.api.site_corrections import SiteCorrections
from fleet.api.sites import Sites
from fleet.api.tariffs import Tariffs
from fleet.api.tokens import Token
from fleet.api.trims import Trims
from fleet.api.water_sources import WaterSources
from fleet.api.watering_rules import WateringRules
from fleet.api.zone_presets import ZonePresets
from fleet.api.zone_tests import ZoneTests
from fleet.api.zones import Zones
from fleet.api.zones_in_bulk import ControllerZones
from reports.api.baselines import MeterBaselines
from reports.api.budget import SiteBudget
from reports.api.by_client import WaterByClient, WaterByClientTotals
from reports.api.non_routine import NonRoutineChanges
from reports.api.savings import ClientSavings
from reports.api.summaries import Summaries
from scheduling.api.advice import AdviceLines
from scheduling.api.arrangement import ControllerArrangement
from scheduling.api.changes import Changes
from scheduling.api.client_notes import ClientNotes
from scheduling.api.nightly_runs import NightlyRuns
from scheduling.api.plan import ControllerPlan, ControllerPlanAdopt
from scheduling.api.programs import Programs
from scheduling.api.settings import Settings
from scheduling.api.site_weather import SiteWeather
from scheduling.api.skips import Skips
from scheduling.api.timeline import ControllerTimeline
from scheduling.api.towns import Towns

app_name = "api"

router = SimpleRouter(use_regex_path=False)
router.register("advice", AdviceLines, basename="advice-line")
router.register("changes", Changes, basename="change")
router.register("client-notes", ClientNotes, basename="client-note")
router.register("nightly-runs", NightlyRuns, basename="nightly-run")
router.register("controllers", Controllers, basename="controller")
router.register("clients", Clients, basename="client")
router.register("sites", Sites, basename="site")
router.register("water-sources", WaterSources, basename="water-source")
router.register("zones", Zones, basename="zone")
router.register("zone-presets", ZonePresets, basename="zone-preset")
router.register("programs", Programs, basename="program")
router.register("settings", Settings, basename="setting")
router.register("skips", Skips, basename="skip")
router.register("observations", Observations, basename="observation")
router.register("trims", Trims, basename="trim")
router.register("site-corrections", SiteCorrections, basename="site-correction")
router.register("can-audits", CanAudits, basename="can-audit")
router.register("zone-tests", ZoneTests, basename="zone-test")
router.register("photos", Photos, basename="photo")
router.register("episodes", Episodes, basename="episode")
router.register("meters", Meters, basename="meter")
router.register("meter-readings", MeterReadings, basename="meter-reading")
router.register("meter-bills", MeterBills, basename="meter-bill")
router.register("summaries", Summaries, basename="summary")
router.register("meter-baselines", MeterBaselines, basename="meter-baseline")
router.register("non-routine-changes", NonRoutineChanges, basename="non-routine-change")
router.register("watering-rules", WateringRules, basename="watering-rule")
router.register("tariffs", Tariffs, basename="tariff")
router.register("towns", Towns, basename="town")

urlpatterns = [
    path("", DOCS.as_view(template_name="fleet/api_docs.html", url_name="api:schema"), name="docs"),
    path("schema/", SpectacularAPIView.as_view(), name="schema"),
    path("token/", Token.as_view(), name="token"),
    path("controllers/<int:id>/plan/", ControllerPlan.as_view(), name="controller-plan"),
    path("controllers/<int:id>/plan/adopt/", ControllerPlanAdopt.as_view(), name="controller-plan-adopt"),
    path("controllers/<int:id>/arrangement/", ControllerArrangement.as_view(), name="controller-arrangement"),
    path("controllers/<int:id>/timeline/", ControllerTimeline.as_view(), name="controller-timeline"),
    path("controllers/<int:id>/zones/", ControllerZones.as_view(), name="controller-zones"),
    path("meters/<int:id>/readings/", MeterReadingsInBulk.as_view(), name="meter-readings-in-bulk"),
    path("meters/<int:id>/hours/", MeterHoursInBulk.as_view(), name="meter-hours-in-bulk"),
    path("clients/<int:id>/access/", ClientAccessOpening.as_view(), name="client-access"),
    path("places/", Places.as_view(), name="places"),
    path("sites/<int:id>/weather/", SiteWeather.as_view(), name="site-weather"),
    path("sites/<int:id>/budget/", SiteBudget.as_view(), name="site-budget"),
    path("clients/<int:pk>/savings/", ClientSavings.as_view(), name="client-savings"),
    path("water-by-client/", WaterByClient.as_view(), name="water-by-client"),
    path("water-by-client/totals/", WaterByClientTotals.as_view(), name="water-by-client-totals"),
    *router.urls,
]
