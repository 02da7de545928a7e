"""Every error page says what happened and what to do, in the service's own look."""

import pytest
from django.test import Client, RequestFactory

from config.urls import handler400, handler500
from tests.cast import Cast


def test_an_address_that_is_not_there(cast: Cast, owner: Client):
    answer = owner.get("/nothing/here/")
    assert answer.status_code == 404
    text = answer.content.decode()
    assert "There is nothing here" in text
    assert "Week sheet" in text


def test_a_stranger_to_the_service_gets_the_same_page(db: None, client: Client):
    answer = client.get("/nothing/here/")
    assert answer.status_code == 404
    assert "Week sheet" not in answer.content.decode()


@pytest.mark.parametrize(
    ("handler", "words"),
    [(handler400, "didn't understand"), (handler500, "Something broke on our side")],
)
def test_pages_that_must_do_without_anything_else(handler: str, words: str):
    from django.utils.module_loading import import_string

    request = RequestFactory().get("/week/")
    view = import_string(handler)
    answer = view(request, Exception()) if handler == handler400 else view(request)
    assert words in answer.content.decode()
    assert "stylesheet" in answer.content.decode()
