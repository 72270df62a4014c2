"""Surface work on site: climate, coats, photos."""
