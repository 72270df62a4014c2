"""The heat test: probes, readings, what happened, how it ended."""
