"""What the demo says once it is served."""

from scheduling.demo.company import PASSWORD, PEOPLE
from scheduling.demo.dates import DEMO_DATE
from scripts.demo_server import welcome
from scripts.demo_settings import ENV_TEXT


def test_the_address_and_everybody_who_may_sign_in_are_told():
    told = welcome("http://127.0.0.1:8100/")
    assert "http://127.0.0.1:8100/" in told
    assert PASSWORD in told
    assert [one.email for one in PEOPLE if one.email not in told] == []


def test_the_settings_put_the_demo_on_its_own_day():
    assert f"BLUESTEM_AS_OF={DEMO_DATE}\n" in ENV_TEXT
