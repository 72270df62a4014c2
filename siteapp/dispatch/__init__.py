"""The piece before it leaves the workshop: its crate, and how it looked."""
