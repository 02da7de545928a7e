"""Weather: cells, days, normals, and the rows that fetching runs from."""

from weather.models.cells import WeatherCell
from weather.models.days import ForecastDay, ObservedDay, Quality
from weather.models.fetches import FetchDay, SourceUsage
from weather.models.normals import MonthlyNormal

__all__ = [
    "FetchDay",
    "ForecastDay",
    "MonthlyNormal",
    "ObservedDay",
    "Quality",
    "SourceUsage",
    "WeatherCell",
]
