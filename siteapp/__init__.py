"""siteapp: carries a one-off piece from the workshop to the wall and into its later life.

Kept free of imports: `python3 -m siteapp` must start on a Python too old to run the rest, in order to say so.
"""
