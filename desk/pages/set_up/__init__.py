"""The pages of guided set-up: drafts, steps, one zone's survey, tables brought along."""
