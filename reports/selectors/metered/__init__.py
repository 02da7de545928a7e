"""What meters say: bills and what plants needed in them, baselines, measured savings."""
