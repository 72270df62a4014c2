"""Things to put right before or after handover."""
