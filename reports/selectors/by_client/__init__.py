"""Water and savings of many clients over some months: estimated and measured apart, budget and need."""
