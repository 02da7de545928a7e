"""What the numbers are held against: published cases, other libraries, targets of this project."""
