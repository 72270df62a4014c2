"""Particulars brought in from a file: read as TOML or CSV, judged by the page's own form, written all or nothing."""
