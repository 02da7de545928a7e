"""Zones that aren't watered by need, in words: which, until when, what to key in, what is left out."""

from datetime import date

from common import clock
from desk import dates, figures
from fleet.models import ZoneEpisode
from fleet.numerics.leaching import extra_share

Kind = ZoneEpisode.Kind


def episode_line(episode: ZoneEpisode, units: str) -> str:
    """Return a stretch in one or two sentences, as every page that would mislead without it says them."""
    zone = episode.zone
    on = clock.today(zone.controller.site.timezone)
    begins = episode.effective_from > on
    since = f" from {dates.day(episode.effective_from, units)}" if begins else ""
    until = f" to the night of {dates.day(episode.effective_to, units)}" if episode.effective_to else ""
    first = (
        f"Zone {zone.number} {zone.name} ({zone.controller}) is {episode.get_kind_display()}{since}{until}"
    )
    parts = [first + _permit(episode, units) + "."]
    if runs := runs_words(episode):
        parts.append(runs)
    if salt := leaching_words(episode, units):
        parts.append(salt)
    parts.append("Meanwhile its percent isn't searched and it doesn't count in the savings.")
    return " ".join(parts)


def short_line(episode: ZoneEpisode, units: str) -> str:
    """Return a stretch in a few words, as a client reads it."""
    zone = episode.zone
    until = f" to {dates.day(episode.effective_to, units)}" if episode.effective_to else ""
    return (
        f"Zone {zone.number} {zone.name}: {episode.get_kind_display()}{until}. It isn't watered by what its "
        "plants need in these days, and isn't in the savings."
    )


def runs_words(episode: ZoneEpisode) -> str:
    """Return the short runs to key in, "" where there are none."""
    if not episode.runs_a_day or not episode.run_minutes:
        return ""
    each = figures.number(episode.run_minutes, 0 if episode.run_minutes == int(episode.run_minutes) else 1)
    every = 24 * 60 / episode.runs_a_day
    apart = f", about every {dates.duration(every)}" if episode.runs_a_day > 1 else ""
    runs = "run" if episode.runs_a_day == 1 else "runs"
    return f"Key in {episode.runs_a_day} {runs} a day of {each} min each{apart}, in a program of its own."


def leaching_words(episode: ZoneEpisode, units: str) -> str:
    """Return what to put on beyond the need, "" where nothing is leached."""
    if episode.kind != Kind.LEACHING or not episode.leaching_share:
        return ""
    extra = float(extra_share(episode.leaching_share))
    each = 25.4 if units == "us" else 10.0
    why = ""
    if episode.water_ds_m is not None and episode.soil_ds_m is not None:
        why = f" (water {episode.water_ds_m:g} and soil {episode.soil_ds_m:g} dS/m; FAO paper 29)"
    return (
        f"{figures.share(episode.leaching_share)} of the water has to run through below the roots{why}: put "
        f"on {figures.share(extra)} more than plants need, {1 + extra:.2f} times the usual minutes, "
        f"{figures.depth(extra * each, units)} on top of each {figures.depth(each, units)} of need."
    )


def ended_line(episode: ZoneEpisode) -> str:
    """Return that a stretch is over, for the morning after its last night."""
    zone = episode.zone
    return (
        f"Zone {zone.number} {zone.name} is no longer {episode.get_kind_display()}: percents are decided "
        "again. Nobody knows how wet its soil is, so it is counted from the drier side until somebody probes "
        "it. Take what was keyed in for it out of the controller."
    )


def _permit(episode: ZoneEpisode, units: str) -> str:
    if not episode.permit and not episode.permit_to:
        return ""
    words = f"permit {episode.permit}".strip()
    if episode.permit_to:
        words += f" to {dates.day(episode.permit_to, units)}"
        if beyond(episode):
            words += ", which ends before it does"
    return f" ({words})"


def beyond(episode: ZoneEpisode) -> bool:
    """Tell whether a stretch goes on after its permit."""
    last: date | None = episode.effective_to
    return episode.permit_to is not None and (last is None or last > episode.permit_to)
