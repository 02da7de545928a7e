"""A client's month: where its e-mail, its paper, its page and the interface read the same figures."""
