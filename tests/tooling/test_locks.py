"""The lock files: hashed, free of addresses, and agreeing with each other."""

import re

import pytest

from scripts.bootstrap import DEV_LOCK, RUN_LOCK
from scripts.install import pinned
from scripts.lock import addresses, disagreements, pins

LOCKS = [RUN_LOCK, DEV_LOCK]


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_a_lock_says_nothing_about_where_packages_come_from(lock):
    assert addresses(lock.read_text()) == []


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_every_pin_has_a_hash(lock):
    text = lock.read_text()
    hashed = re.findall(r"^\S+==.*\\\n    --hash=sha256:[0-9a-f]{64}", text, re.MULTILINE)
    assert len(hashed) == len(pins(text)) > 50


def test_the_tests_run_with_the_very_packages_of_the_service():
    assert disagreements(RUN_LOCK.read_text(), DEV_LOCK.read_text()) == set()


def test_the_installer_itself_is_pinned_with_its_hashes():
    assert re.match(r"uv==[\d.]+ \\\n    --hash=sha256:", pinned("uv", DEV_LOCK))


@pytest.mark.parametrize(
    "line",
    [
        "--index-url somewhere",
        "--extra-index-url file:///packages",
        "--find-links wheels",
        "package @ https://example.org/package.whl",
    ],
)
def test_an_address_in_a_lock_is_found(line):
    assert addresses(f"numpy==2.4.6 \\\n{line}\n") == [line]


def test_a_pin_the_tests_lock_lacks_is_found():
    assert disagreements("a==1 \\\nb==2\n", "a==1 \\\nb==3\n") == {"b==2"}
