"""The build-up with its sizes, and the weight that comes of it."""
