"""Rows into arrays, read only: the one place in this app where that happens."""
