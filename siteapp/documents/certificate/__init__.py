"""The certificate of care and provenance."""
