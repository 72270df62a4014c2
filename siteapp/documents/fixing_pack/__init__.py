"""The fixing pack for whoever drills."""
