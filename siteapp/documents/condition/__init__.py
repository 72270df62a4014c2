"""The condition report."""
