"""The client's acceptance, and the certificate that stays with the piece."""
