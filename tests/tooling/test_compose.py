"""The files for a whole installation in containers: well-formed, and naming only what exists."""

import importlib.util
import re

import pytest
import yaml

from scripts import healthy
from scripts.bootstrap import ROOT

# Names that compose and the database's image read, not the service.
FOREIGN = {"POSTGRES_USER", "POSTGRES_DB", "POSTGRES_PASSWORD", "PORT", "HOSTNAME"}


@pytest.fixture(scope="module")
def services():
    return yaml.safe_load((ROOT / "docker-compose.yml").read_text())["services"]


def known_settings() -> set[str]:
    text = (ROOT / "config" / "settings.py").read_text()
    return set(re.findall(r'env\.\w+\(\s*"([A-Z_]+)"', text))


def test_the_parts_are_all_there(services):
    assert set(services) == {"postgres", "redis", "migrate", "web", "worker", "beat"}
    assert services["postgres"]["image"] == "postgres:15"
    assert services["redis"]["image"] == "redis:7"
    assert "--appendonly" in services["redis"]["command"]


def test_every_part_that_stays_up_has_a_health_check(services):
    unchecked = {name for name, service in services.items() if "healthcheck" not in service}
    assert unchecked == {"migrate"}
    assert services["migrate"]["restart"] == "no"


def test_nothing_of_ours_starts_before_the_database_is_migrated(services):
    for name in ("web", "worker", "beat"):
        assert services[name]["depends_on"]["migrate"] == {"condition": "service_completed_successfully"}
        assert services[name]["depends_on"]["postgres"] == {"condition": "service_healthy"}


def test_only_the_web_server_is_reachable_and_only_from_this_machine(services):
    open_ports = {name: service["ports"] for name, service in services.items() if "ports" in service}
    assert open_ports == {"web": ["127.0.0.1:${PORT:-8000}:8000"]}


def test_images_are_named_without_a_registry(services):
    images = [service["image"] for service in services.values()]
    images += re.findall(r"^FROM (\S+)", (ROOT / "Dockerfile").read_text(), re.MULTILINE)
    assert "python:3.11-slim" in images
    assert [image for image in images if "/" in image] == []


def test_every_setting_given_exists_in_the_service(services):
    given = {name for service in services.values() for name in service.get("environment", {})}
    given |= set(re.findall(r"\$\{?([A-Z_]+)", (ROOT / "docker-compose.yml").read_text()))
    given |= set(re.findall(r"^(\w+)=", (ROOT / "compose.env.example").read_text(), re.MULTILINE))
    given |= set(re.findall(r"\b(BLUESTEM_\w+)", (ROOT / "Dockerfile").read_text()))
    assert {"DATABASE_URL", "CELERY_BROKER_URL", "BLUESTEM_SECRET_KEY"} <= given
    assert given - FOREIGN - known_settings() == set()


def test_the_example_holds_no_secret():
    text = (ROOT / "compose.env.example").read_text()
    assert re.findall(r"^(BLUESTEM_SECRET_KEY|POSTGRES_PASSWORD)=(.*)$", text, re.MULTILINE) == [
        ("BLUESTEM_SECRET_KEY", ""),
        ("POSTGRES_PASSWORD", ""),
    ]


def test_every_python_module_a_part_runs_exists(services):
    commands = [service.get("command", []) for service in services.values()]
    commands += [service.get("healthcheck", {}).get("test", []) for service in services.values()]
    modules = [command[command.index("-m") + 1] for command in commands if "-m" in command]
    assert modules == ["scripts.healthy"]
    assert all(importlib.util.find_spec(module) for module in modules)


@pytest.mark.parametrize(("status", "exit_code"), [(200, 0), (302, 0), (400, 1), (500, 1)])
def test_the_web_server_is_healthy_when_its_front_page_answers(httpserver, monkeypatch, status, exit_code):
    monkeypatch.setenv("BLUESTEM_HOSTS", "bluestem.example.org,other.example.org")
    asked_for = {"Host": "bluestem.example.org", "X-Forwarded-Proto": "https"}
    httpserver.expect_request("/", headers=asked_for).respond_with_data("", status=status)
    assert healthy.main(httpserver.port) == exit_code


def test_a_web_server_that_does_not_answer_is_not_healthy():
    assert healthy.main(9) == 1
