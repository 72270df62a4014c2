"""The hanging plan for whoever lifts."""
