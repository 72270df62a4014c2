"""What was tested by fire and how far that reaches; how warm each part of the piece may get."""
