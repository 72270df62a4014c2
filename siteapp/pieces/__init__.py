"""A made thing: its number, particulars and label."""
