from tests.cast import api, cast, change, on_the_day, stranger
from tests.tenancy.place import place

__all__ = ["api", "cast", "change", "on_the_day", "place", "stranger"]
