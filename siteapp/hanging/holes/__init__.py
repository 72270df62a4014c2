"""The holes as drilled, by tape and laser line; whether the piece goes on them."""
