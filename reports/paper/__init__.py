"""Paper: what people take along or are handed, as tagged PDF made by typst from plain data."""
