"""The REST interface to people and what they look after, and the pieces every endpoint shares."""
