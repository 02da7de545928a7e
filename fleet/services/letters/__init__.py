"""Letters: written as rows, handed over by one drain, decided by a person where nobody can know."""
