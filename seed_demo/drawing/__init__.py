"""Photos of the demo, drawn by code: pieces, their backs and details, crates, meters, tins."""
