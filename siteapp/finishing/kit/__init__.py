"""The recipe and the kit for touching up, put together from what was recorded and then written by a person."""
