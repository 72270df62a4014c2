"""The fixing pack for whoever drills, and the form that came back."""
