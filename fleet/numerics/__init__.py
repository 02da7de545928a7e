"""Survey tables and the small formulas around them. Numpy and the standard library alone."""
