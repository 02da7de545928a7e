"""Template filters for alerts about use."""

from django import template

from desk.alert_words import alert_line, what_to_try

register = template.Library()
register.filter("alert_line", alert_line)
register.filter("what_to_try", what_to_try)
