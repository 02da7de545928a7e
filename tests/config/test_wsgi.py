"""The entry point takes whatever a server hands it."""

import io

import pytest

from config.wsgi import application


@pytest.mark.django_db  # a request looks after the connections of the one before it
@pytest.mark.parametrize("charset", ["utf-8", "rot13", "hex", "base64", "no-such-thing", "\x00"])
def test_a_character_set_that_is_no_text_is_no_fault(charset):
    said = []

    def start(status, headers, exc_info=None, /):
        said.append(status)
        return said.append

    environ = {
        "REQUEST_METHOD": "GET",
        "PATH_INFO": "/api/v1/nothing/",
        "QUERY_STRING": "status=pending",
        "CONTENT_TYPE": f"text/plain; charset={charset}",
        "SERVER_NAME": "testserver",
        "SERVER_PORT": "80",
        "wsgi.input": io.BytesIO(b""),
        "wsgi.url_scheme": "http",
    }
    body = b"".join(application(environ, start))
    assert said == ["404 Not Found"]
    assert b"There is no such address here." in body
