"""What pages share: layout, form widgets, security, errors, the one way to save."""
