"""What is kept: entries and their chains, form ids, photos. Knows nothing of the trade's rooms or of Flask."""
