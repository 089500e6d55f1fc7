"""The pages over the rooms."""
