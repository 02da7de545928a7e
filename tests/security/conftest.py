from tests.cast import api, cast, change, on_the_day, stranger
from tests.tenancy.test_every_address import place

__all__ = ["api", "cast", "change", "on_the_day", "place", "stranger"]
