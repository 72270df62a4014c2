"""Where every piece stands: the start page and the piece's page. Reads every step, writes nothing."""
