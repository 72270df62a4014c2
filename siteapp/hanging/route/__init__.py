"""The crate's way in, obstacle by obstacle."""
