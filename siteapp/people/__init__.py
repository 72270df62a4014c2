"""Who works here: makers and fitters, how they sign in."""
