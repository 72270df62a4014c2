"""The demo: an invented workshop, client and site, and three pieces at three stages of their journey."""
