"""Who is at the site when, whom to ask there, and what is still to bring."""
