"""Seasons lived through again: for a site, for a published test landscape, for zones from a file."""
