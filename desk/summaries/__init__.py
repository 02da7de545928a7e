"""A client's monthly summary: in words, in charts, as e-mail, on paper, handed over."""
