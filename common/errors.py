"""What can go wrong in a service, in one short hierarchy that the edge maps to a page or an HTTP answer.

BluestemError
├── Refused       the request makes no sense as it stands (400); ``field`` says where
├── NotAllowed    this person may not do this (403)
└── MovedOn       somebody or something was faster (409); ``current_status`` says what it is now
    ├── Gone      the row was removed meanwhile (409; a page that says nothing itself answers 404)
    └── InUse     other rows hang on it, so it stays (409)
"""


class BluestemError(Exception):
    """The root of every error the service raises on purpose. ``message`` is fit for a person to read."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class Refused(BluestemError):
    """The input can't be taken as it is."""

    def __init__(self, message: str, *, field: str = "") -> None:
        super().__init__(message)
        self.field = field


class NotAllowed(BluestemError):
    """The person is known but this isn't theirs to do."""


class MovedOn(BluestemError):
    """The row has another status by now than the one the caller acted on; nothing was overwritten."""

    def __init__(self, message: str, *, current_status: str) -> None:
        super().__init__(message)
        self.current_status = current_status


class Gone(MovedOn):
    """The row was removed meanwhile."""

    def __init__(self, message: str) -> None:
        super().__init__(message, current_status="gone")


class InUse(MovedOn):
    """Other rows hang on this one; nothing was removed."""

    def __init__(self, message: str) -> None:
        super().__init__(message, current_status="in use")
