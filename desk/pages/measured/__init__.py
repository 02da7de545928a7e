"""Pages of measured savings: a site's meters, one meter's baseline and what no weather explains."""
