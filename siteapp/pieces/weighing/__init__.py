"""The piece on scales: how much it weighs and where its weight sits."""
