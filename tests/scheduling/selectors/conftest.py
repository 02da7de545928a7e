from tests.cast import cast, change, on_the_day, stranger

__all__ = ["cast", "change", "on_the_day", "stranger"]
