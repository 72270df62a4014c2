"""Who lifts, step by step, with what; how to stop."""
