"""Who and what: companies, people, clients, sites, water sources, controllers, zones."""

from fleet.models.answers import KeptAnswer
from fleet.models.cans import CanAudit
from fleet.models.client_notes import ClientNote
from fleet.models.clients import Client, ClientAccess
from fleet.models.companies import Company, Membership, Policy
from fleet.models.controllers import Controller
from fleet.models.edits import SettingEdit
from fleet.models.episodes import ZoneEpisode
from fleet.models.invitations import Invitation
from fleet.models.letters import Letter, LetterFile
from fleet.models.meters import Meter, MeterBill, MeterFile, MeterHour, MeterReading
from fleet.models.observations import SoilObservation, ZoneCut, ZoneTrim
from fleet.models.photos import Photo
from fleet.models.rounds import ZoneRound, ZoneTest
from fleet.models.rules import Town, WateringRule
from fleet.models.set_up import SetUpDraft, ZonePreset
from fleet.models.site_corrections import SiteCorrection
from fleet.models.site_rain import SiteRain
from fleet.models.sites import Site, WaterSource
from fleet.models.tariffs import Tariff
from fleet.models.users import User
from fleet.models.visits import Finding, Visit
from fleet.models.zones import Zone

__all__ = [
    "CanAudit",
    "Client",
    "ClientAccess",
    "ClientNote",
    "Company",
    "Controller",
    "Finding",
    "Invitation",
    "KeptAnswer",
    "Letter",
    "LetterFile",
    "Membership",
    "Meter",
    "MeterBill",
    "MeterFile",
    "MeterHour",
    "MeterReading",
    "Photo",
    "Policy",
    "SetUpDraft",
    "SettingEdit",
    "Site",
    "SiteCorrection",
    "SiteRain",
    "SoilObservation",
    "Tariff",
    "Town",
    "User",
    "Visit",
    "WaterSource",
    "WateringRule",
    "Zone",
    "ZoneCut",
    "ZoneEpisode",
    "ZonePreset",
    "ZoneRound",
    "ZoneTest",
    "ZoneTrim",
]
