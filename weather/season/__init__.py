"""Weather rows turned into arrays: what a season's balance and a week's decision run on. Reads only."""

from weather.season.filling import Kind
from weather.season.window import WeatherWindow, weather_window

__all__ = ["Kind", "WeatherWindow", "weather_window"]
