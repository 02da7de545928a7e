"""What the back offices of all apps share."""
