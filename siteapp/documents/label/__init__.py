"""Labels: three forms from one design."""
