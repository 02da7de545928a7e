"""Measured savings: a meter's use against a regression on earlier use, and how sure that is."""
