"""The life of a piece after its handover: care dates, later visits, another place, another keeper."""
