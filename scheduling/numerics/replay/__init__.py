"""A season lived through again, day by day: each decision made on what was known that morning."""
