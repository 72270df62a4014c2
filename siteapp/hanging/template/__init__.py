"""Where the piece goes: datum, full-size template, what is asked of whoever drills."""
