"""Guided set-up: the parts of a draft, how their texts are shown and read, and what comes of them."""
