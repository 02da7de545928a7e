"""A real mail server on this machine that counts, refuses and breaks off as a test asks."""

import socket
from collections.abc import Iterator
from email import message_from_bytes
from email.message import Message

import pytest
from aiosmtpd.controller import Controller

from tests.cast import cast, change, on_the_day, stranger

__all__ = ["cast", "change", "on_the_day", "stranger"]


class Office:
    """What a mail server took, and what it says to the next address or letter."""

    def __init__(self) -> None:
        self.taken: list[tuple[str, Message]] = []
        self.refuse: dict[str, str] = {}
        self.at_data = ""
        self.break_off = ""  # "before" or "after" the letter was taken

    async def handle_RCPT(self, server, session, envelope, address, options):
        if address in self.refuse:
            return self.refuse[address]
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):
        if self.at_data:
            return self.at_data
        if self.break_off != "before":
            self.taken.append((envelope.rcpt_tos[0], message_from_bytes(envelope.content)))
        if self.break_off:
            server.transport.close()
        return "250 taken"


@pytest.fixture
def office(settings) -> Iterator[Office]:
    handler = Office()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    controller = Controller(handler, hostname="127.0.0.1", port=port)
    controller.start()
    settings.MAIL_SERVER = True
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST = "127.0.0.1"
    settings.EMAIL_PORT = port
    settings.EMAIL_TIMEOUT = 5
    yield handler
    controller.stop()
