from tests.cast import api, cast, change, on_the_day, stranger

__all__ = ["api", "cast", "change", "on_the_day", "stranger"]
