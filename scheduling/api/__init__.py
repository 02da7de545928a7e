"""The REST interface to what is proposed, what is decided, and what each night did."""
