"""The piece's condition at handover and at later visits, and the report that compares it with the look before."""
