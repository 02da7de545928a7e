"""Letters as people read them: composed here, kept and handed over by fleet."""
