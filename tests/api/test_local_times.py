"""Times of day at a site have no offset, in the document as in what is taken."""

import json

import pytest

pytestmark = pytest.mark.django_db


def test_the_document_says_a_pattern_instead_of_a_time_with_an_offset(client):
    document = client.get("/api/v1/schema/?format=json")
    assert '"format": "time"' not in json.dumps(json.loads(document.content))


@pytest.mark.parametrize(("said", "status"), [("22:30", 201), ("22:30:15", 201), ("22:30+02:00", 400)])
def test_an_offset_is_refused(api, cast, said: str, status: int):
    api.force_authenticate(cast.owner)
    body = {"name": f"Town {said}", "hours_from": said}
    answer = api.post("/api/v1/watering-rules/", body, format="json")
    assert answer.status_code == status, answer.content
