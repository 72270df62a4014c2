"""The piece reaching the site, and its condition then."""
