"""Tables of readings, bills and hours that people bring along: matched, read, stored whole or not at all."""
